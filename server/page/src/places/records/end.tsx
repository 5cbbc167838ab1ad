// The last seconds of a pour, enlarged: how the last dose came to its target.
import { get } from '../../api/api.ts'
import type { TracePictureView } from '../../api/schema.ts'
import { duration, grams } from '../../i18n/format.ts'
import { signed } from './names.ts'
import { across, band, down, HEIGHT, path, WIDTH, within, type Scale } from './plot.ts'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'

/** Seen before the last pump went off, in s. */
const BEFORE_S = 1.2
const COLUMNS = 360
/** The line under the readings of the picture is fitted over this time, in s. */
const WINDOW_S = 0.5
/** Seen above and below the target, in tolerances. */
const TOLERANCES = 2.5
/** A tolerance has its figures where it is at least so large a part of half the height. */
const ROOM = 0.2
/** The name of a mark needs so much of the width. */
const NAME = 0.18

/** `trace` is of the whole pour. Nothing, where no pump was switched off on the way to a target. */
export function End({ id, trace }: { id: string; trace: TracePictureView }) {
  const target = trace.targets.findLast(found => found.tolerance_g !== null)
  const cut_s = trace.cut_offs_s.findLast(at_s => target !== undefined && at_s >= target.from_s)
  if (target === undefined || cut_s === undefined) return null
  return <Enlarged id={id} target={target} from_s={cut_s - BEFORE_S} />
}

type Target = TracePictureView['targets'][number]

function Enlarged({ id, target, from_s }: { id: string; target: Target; from_s: number }) {
  const { answer } = useAsked(`end ${id}`, () =>
    get('/v1/pours/{pour_id}/trace', { at: { pour_id: id }, query: { points: COLUMNS, from_s, window_s: WINDOW_S } }),
  )
  if (answer === null || !('readings' in answer)) return null
  const goal_g = target.start_g + target.target_g
  const tolerance_g = target.tolerance_g ?? 0
  const last_g = answer.mass.net_g.findLast(net_g => net_g !== null)
  if (last_g == null) return null
  const half_g = Math.max(TOLERANCES * tolerance_g, 1.3 * Math.abs(last_g - goal_g))
  const mass: Scale = { from: goal_g - half_g, to: goal_g + half_g }
  const time: Scale = { from: from_s, to: Math.max(from_s + 1, answer.readings.t_s.at(-1) ?? 0) }
  const number = target.dose + 1
  const marks = [
    ...answer.cut_offs_s.map(at_s => ({ at_s, name: t('cut_off') })),
    ...answer.steps.filter(step => step.step === 'jog_feed').map(step => ({ at_s: step.from_s, name: t('jog') })),
  ].filter(({ at_s }) => at_s >= from_s)
  let told_s = Number.NEGATIVE_INFINITY
  const named = marks.map(({ at_s, name }, index) => {
    const told = marks.findIndex(mark => mark.name === name) === index && Math.abs(within(time, at_s) - within(time, told_s)) >= NAME
    if (told) told_s = at_s
    return told
  })
  const spans = [goal_g, ...(tolerance_g / half_g < ROOM ? [] : [goal_g + tolerance_g, goal_g - tolerance_g])]
  return (
    <figure class="plot">
      <h2 class="sect">{t('end_enlarged', { number })}</h2>
      <div class="plot-box low">
        <svg
          viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
          preserveAspectRatio="none"
          role="img"
          aria-label={t('end_sentence', { number, mass: grams(last_g), time: duration(time.to, 1) })}
        >
          <rect class="g-band" x="0" width={WIDTH} {...band(mass, goal_g, tolerance_g)} />
          <line class="p-target" x1="0" x2={WIDTH} y1={down(mass, goal_g)} y2={down(mass, goal_g)} />
          {marks.map(({ at_s, name }) => (
            <line class="p-cut" x1={across(time, at_s)} x2={across(time, at_s)} y1="0" y2={HEIGHT} key={`${name} ${at_s}`} />
          ))}
          <path class="p-raw" d={path(answer.readings, time, mass)} />
          <path class="p-fit" d={path(answer.mass, time, mass)} />
        </svg>
        <div aria-hidden="true">
          {spans.map(value => (
            <span class="y" style={{ '--down': String(1 - within(mass, value)) }} key={value}>
              {value === goal_g ? grams(goal_g) : signed(value - goal_g)}
            </span>
          ))}
          {marks.map(({ at_s, name }, index) => (
            <span class="x mark" style={{ '--at': String(within(time, at_s)) }} key={`${name} ${at_s}`}>
              {named[index] && name}
            </span>
          ))}
          <span class="x last">{grams(last_g)}</span>
        </div>
      </div>
    </figure>
  )
}
