// Control chart of individuals: the errors of one channel with one liquid, as the API judges them.
import type { ErrorChartView } from '../../api/schema.ts'
import { clockTime, grams } from '../../i18n/format.ts'
import { bracket, doseScale, errorScale, rowsOf, uprights } from './chart-places.ts'
import { changeName, moment, sentence } from './chart-words.ts'
import { signed } from './names.ts'
import { across, down, HEIGHT, path, WIDTH, within } from './plot.ts'
import { t } from './statistics-messages.ts'

/** More points than this are drawn small. */
const MANY = 60
/** Right of this a text stands left of its place; where it stands alone, from the middle on. */
const RIGHT = 0.75
const MIDDLE = 0.5

interface Props {
  readonly chart: ErrorChartView
  /** The pour whose doses are marked. */
  readonly me?: string
  readonly low?: boolean
}

export function ControlChart({ chart, me, low = false }: Props) {
  const { doses, limits, runs } = chart
  const time = doseScale(doses.length)
  const errors = errorScale(chart)
  const changes = uprights(chart)
  const curve = { t_s: doses.map((_, index) => index), net_g: doses.map(dose => dose.error_g) }
  const level = (kind: string, error_g: number) => <line class={kind} x1="0" x2={WIDTH} y1={down(errors, error_g)} y2={down(errors, error_g)} />
  return (
    <div class={low ? 'plot-box low' : 'plot-box'}>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} preserveAspectRatio="none" role="img" aria-label={sentence(chart)}>
        {level('p-grid', 0)}
        {limits !== null && (
          <>
            {level('p-planned', limits.lower_g)}
            {level('p-mean', limits.mean_g)}
            {level('p-planned', limits.upper_g)}
          </>
        )}
        {changes.map(({ at }) => (
          <line class="p-cut" x1={across(time, at)} x2={across(time, at)} y1="0" y2={HEIGHT} key={at} />
        ))}
        <path class="p-raw" d={path(curve, time, errors)} />
        {runs.map(run => (
          <path class="p-run" d={bracket(time, errors, run, outermost(chart, run))} key={run.first} />
        ))}
      </svg>
      <Points chart={chart} me={me} />
      <Texts chart={chart} me={me} />
    </div>
  )
}

function outermost({ doses }: ErrorChartView, { first, last, above }: { first: number; last: number; above: boolean }): number {
  const errors = doses.slice(first, last + 1).map(dose => dose.error_g)
  return above ? Math.max(...errors) : Math.min(...errors)
}

function Points({ chart: { doses, ...chart }, me }: { chart: ErrorChartView; me: string | undefined }) {
  const time = doseScale(doses.length)
  const errors = errorScale({ doses, ...chart })
  return (
    <div aria-hidden="true">
      {doses.map((dose, index) => {
        const kind = ['pt', dose.beyond ? 'out' : '', dose.pour_id === me ? 'me' : '', doses.length > MANY ? 'many' : ''].join(' ')
        return <i class={kind} style={{ '--at': String(within(time, index)), '--down': String(1 - within(errors, dose.error_g)) }} key={index} />
      })}
    </div>
  )
}

/** Texts of the chart; the sentence and the table say the same. */
function Texts({ chart, me }: { chart: ErrorChartView; me: string | undefined }) {
  const { doses, limits, runs } = chart
  const time = doseScale(doses.length)
  const errors = errorScale(chart)
  const left = (at: number) => ({ '--at': String(within(time, at)) })
  const top = (error_g: number) => ({ '--down': String(1 - within(errors, error_g)) })
  const side = (at: number, from = RIGHT) => (within(time, at) > from ? 'ends' : '')
  const named = uprights(chart)
  const rows = rowsOf(named.map(({ at }) => within(time, at)))
  const beyond = doses.flatMap((dose, index) => (dose.beyond ? [{ dose, index }] : []))
  const room = rowsOf(beyond.map(({ index }) => within(time, index)))
  const [first, last] = [doses[0], doses.at(-1)]
  return (
    <div aria-hidden="true">
      {limits === null ? (
        <>
          <span class="y" style={top(0)}>
            {grams(0)}
          </span>
          <span class="tag few">{t('too_few')}</span>
        </>
      ) : (
        <>
          <span class="y" style={top(limits.upper_g)}>
            {signed(limits.upper_g)}
          </span>
          <span class="y" style={top(limits.mean_g)}>
            {t('mean_tag')}
          </span>
          <span class="y" style={top(limits.lower_g)}>
            {signed(limits.lower_g)}
          </span>
        </>
      )}
      {named.map(({ at, changes }, index) => {
        const row = rows[index] ?? null
        return (
          row !== null && (
            <span class={`tag roomy named ${side(at)}`} style={{ ...left(at), '--down': String(0.01 + 0.07 * row) }} key={at}>
              {[...new Set(changes.map(changeName))].join(', ')}
            </span>
          )
        )
      })}
      {beyond.map(({ dose, index }, number) => {
        return (
          room[number] === 0 && (
            <span class={`tag sig beside ${side(index, MIDDLE)}`} style={{ ...left(index), ...top(dose.error_g) }} key={index}>
              {t('beyond_at', { time: clockTime(new Date(dose.at)) })}
            </span>
          )
        )
      })}
      {runs.map(run => (
        <span
          class={`tag ${run.above ? 'over' : 'under'} ${side(run.first, MIDDLE)}`}
          style={{ ...left(run.first), ...top(outermost(chart, run)) }}
          key={run.first}
        >
          {t('run_of', { count: run.last - run.first + 1 })}
        </span>
      ))}
      {first !== undefined && last !== undefined && (
        <>
          <span class="x first">{moment(first.at, last.at)}</span>
          <span class="x last">{last.pour_id === me ? t('this_pour') : moment(last.at, first.at)}</span>
        </>
      )}
    </div>
  )
}
