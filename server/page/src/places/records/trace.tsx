// What happened in the glass: readings, the mass under them, targets with their tolerance, and a strip of steps.
import type { TracePictureView } from '../../api/schema.ts'
import { duration, figure, grams } from '../../i18n/format.ts'
import { FilledTriangle } from '../../parts/marks.tsx'
import { t } from './messages.ts'
import { across, band, down, HEIGHT, massScale, path, ticks, timeScale, WIDTH, within, type Scale } from './plot.ts'
import { Cursor, Readout, useCursor } from './cursor.tsx'
import { stepName } from './steps.ts'

const HELD = new Set(['held', 'holding', 'restarting'])
/** A target has its figures where its bar is so long, in parts of the width. */
const ROOM = 0.2
/** Right of this a text stands left of its place. */
const RIGHT = 0.6

export function Trace({ trace }: { trace: TracePictureView }) {
  const time = timeScale(trace)
  const mass = massScale(trace)
  const at = useCursor(time)
  const last_g = trace.mass.net_g.findLast(net_g => net_g !== null) ?? 0
  return (
    <figure class="plot">
      <div class="plot-box">
        <svg
          class="trace"
          viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
          preserveAspectRatio="none"
          role="img"
          aria-label={t('plot', { mass: grams(last_g), time: duration(time.to) })}
        >
          {ticks(mass).map(net_g => (
            <line class="p-grid" x1="0" x2={WIDTH} y1={down(mass, net_g)} y2={down(mass, net_g)} key={net_g} />
          ))}
          <Held trace={trace} time={time} />
          <Targets trace={trace} time={time} mass={mass} />
          {trace.cut_offs_s.map(at_s => (
            <Upright kind="p-cut" at_s={at_s} time={time} key={at_s} />
          ))}
          {jogsOf(trace).map(at_s => (
            <Upright kind="p-cut" at_s={at_s} time={time} key={`jog ${at_s}`} />
          ))}
          {trace.alarms.map(alarm => (
            <Upright kind="p-sig" at_s={alarm.at_s} time={time} key={`${alarm.name} ${alarm.at_s}`} />
          ))}
          <path class="p-raw" d={path(trace.readings, time, mass)} />
          <path class="p-fit" d={path(trace.mass, time, mass)} />
        </svg>
        <Labels trace={trace} time={time} mass={mass} />
        <Cursor trace={trace} time={time} mass={mass} at={at} />
      </div>
      <Strip trace={trace} time={time} />
      <Readout trace={trace} time={time} at={at} />
      <figcaption class="small">{t('legend')}</figcaption>
    </figure>
  )
}

const jogsOf = (trace: TracePictureView) => trace.steps.filter(step => step.step === 'jog_feed').map(step => step.from_s)

const Upright = ({ kind, at_s, time }: { kind: string; at_s: number; time: Scale }) => (
  <line class={kind} x1={across(time, at_s)} x2={across(time, at_s)} y1="0" y2={HEIGHT} />
)

const Held = ({ trace, time }: { trace: TracePictureView; time: Scale }) => (
  <>
    {trace.steps.map(({ step, from_s, to_s }) => {
      const x = across(time, from_s)
      return HELD.has(step) && <rect class="p-held" x={x} y="0" width={Math.max(0, across(time, to_s ?? time.to) - x)} height={HEIGHT} key={from_s} />
    })}
  </>
)

const Targets = ({ trace, time, mass }: { trace: TracePictureView; time: Scale; mass: Scale }) => (
  <>
    {trace.targets.map(({ from_s, to_s, start_g, target_g, planned_g, tolerance_g }) => {
      const x1 = across(time, from_s)
      const x2 = Math.max(x1, across(time, to_s ?? time.to))
      const y = down(mass, start_g + target_g)
      const planned = down(mass, start_g + planned_g)
      return (
        <g key={`${from_s} ${target_g}`}>
          {tolerance_g !== null && <rect class="g-band" x={x1} width={x2 - x1} {...band(mass, start_g + target_g, tolerance_g)} />}
          <line class="p-target" x1={x1} x2={x2} y1={y} y2={y} />
          {Math.abs(planned_g - target_g) >= 0.05 && <line class="p-planned" x1={x1} x2={x2} y1={planned} y2={planned} />}
        </g>
      )
    })}
  </>
)

/** Texts of the plot, placed in parts of its width and height; the sentence and the table say the same. */
function Labels({ trace, time, mass }: { trace: TracePictureView; time: Scale; mass: Scale }) {
  const left = (at_s: number) => ({ '--at': String(within(time, at_s)) })
  const top = (net_g: number) => ({ '--down': String(1 - within(mass, net_g)) })
  const side = (at_s: number) => (within(time, at_s) > RIGHT ? 'ends' : '')
  return (
    <div aria-hidden="true">
      {ticks(mass).map(net_g => (
        <span class="y" style={top(net_g)} key={net_g}>
          {figure(net_g, 0)}
          {'\u00a0g'}
        </span>
      ))}
      {ticks(time).map(at_s => (
        <span class="x" style={left(at_s)} key={at_s}>
          {figure(at_s, 0)}
          {'\u00a0s'}
        </span>
      ))}
      {trace.targets
        .filter(({ from_s, to_s }) => within(time, to_s ?? time.to) - within(time, from_s) >= ROOM)
        .map(({ from_s, start_g, target_g, tolerance_g }) => (
          <span class={`tag above ${side(from_s)}`} style={{ ...left(from_s), ...top(start_g + target_g + (tolerance_g ?? 0)) }} key={`${from_s} ${target_g}`}>
            <b class={tolerance_g === null ? '' : 'tight'}>{t('target', { mass: grams(target_g) })}</b>
            {tolerance_g !== null && <b class="roomy">{t('target_within', { mass: grams(target_g), tolerance: grams(tolerance_g) })}</b>}
          </span>
        ))}
      {trace.alarms.map((alarm, index) => (
        <span class={`tag sig ${side(alarm.at_s)}`} style={{ ...left(alarm.at_s), '--down': String(0.72 + 0.07 * (index % 3)) }} key={`${alarm.name} ${alarm.at_s}`} lang="en">
          <FilledTriangle />
          {alarm.name.replaceAll('_', ' ')}
        </span>
      ))}
    </div>
  )
}

function Strip({ trace, time }: { trace: TracePictureView; time: Scale }) {
  const shown = trace.steps.filter(step => (step.to_s ?? time.to) > time.from)
  return (
    <ol class="strip" aria-label={t('steps')}>
      {shown.map(({ step, from_s, to_s }) => {
        const from = Math.max(0, within(time, from_s))
        const width = within(time, to_s ?? time.to) - from
        const name = stepName(step)
        return (
          <li class={`s-${step}`} style={{ left: `${100 * from}%`, width: `${100 * width}%` }} title={name} key={`${step} ${from_s}`}>
            <span>{name}</span>
          </li>
        )
      })}
    </ol>
  )
}
