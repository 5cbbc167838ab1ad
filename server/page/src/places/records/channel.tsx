// One channel with one liquid: its control chart, and what its stops have taught.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { ErrorChartView, LessonView } from '../../api/schema.ts'
import { clockSeconds, figure, flowRate, grams, shortDay } from '../../i18n/format.ts'
import { machine } from '../../live/bar.ts'
import { replace, route } from '../../router.ts'
import { channelAddress } from './channels.tsx'
import { changeName, moment, sentence } from './chart-words.ts'
import { ControlChart } from './control-chart.tsx'
import { t as pours } from './messages.ts'
import { signed } from './names.ts'
import { down, HEIGHT, path, tickDigits, ticks, WIDTH, within, type Scale } from './plot.ts'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'

/** Stands for what a channel was never assigned. */
const NONE = ''

export function Channel({ number }: { number: number }) {
  const { answer: known, refusal } = useAsked(`statistics ${machine.value?.pour_id}`, () => get('/v1/statistics'))
  const here = known?.errors.filter(found => found.channel === number) ?? []
  const asked = route.value.query.get('liquid') ?? here.toSorted((a, b) => b.doses - a.doses)[0]?.liquid_id ?? NONE
  const name = here.find(found => found.liquid_id === asked)?.liquid_name ?? asked
  const title = name === NONE ? pours('channel_number', { number }) : t('channel_liquid', { channel: number, liquid: name })
  useEffect(() => void (document.title = pours('title', { what: title })), [title])
  return (
    <>
      <h1 class="title">{title}</h1>
      {refusal !== null && <p role="alert">{pours('not_read')}</p>}
      {known === null && refusal === null && <p>{pours('asking')}</p>}
      {known !== null && (
        <div class="filters">
          <select aria-label={t('chart_of')} value={channelAddress(number, asked)} onChange={event => replace(event.currentTarget.value)}>
            {here.every(found => found.liquid_id !== asked) && <option value={channelAddress(number, asked)}>{title}</option>}
            {known.errors.map(({ channel, liquid_id, liquid_name }) => (
              <option value={channelAddress(channel, liquid_id)} key={`${channel} ${liquid_id}`}>
                {t('channel_liquid', { channel, liquid: liquid_name })}
              </option>
            ))}
          </select>
        </div>
      )}
      {known !== null && (asked === NONE ? <p>{t('no_doses_here', { channel: number })}</p> : <Errors channel={number} liquid={asked} key={asked} />)}
    </>
  )
}

function Errors({ channel, liquid }: { channel: number; liquid: string }) {
  const { answer: chart, refusal } = useAsked(`${machine.value?.pour_id}`, () => get('/v1/statistics/errors', { query: { channel, liquid } }))
  if (refusal !== null) return <p role="alert">{pours('not_read')}</p>
  if (chart === null) return <p>{pours('asking')}</p>
  if (chart.doses.length === 0) return <p>{t('no_doses_here', { channel })}</p>
  return (
    <>
      <p role="status">{sentence(chart)}</p>
      <figure class="plot">
        <ControlChart chart={chart} />
        <figcaption class="small">{t('legend')}</figcaption>
      </figure>
      <Table chart={chart} />
      <Learned learned={chart.learned} />
    </>
  )
}

interface Line {
  readonly at: string
  readonly what: string
  readonly dose: ErrorChartView['doses'][number] | null
}

function Table({ chart: { doses, changes } }: { chart: ErrorChartView }) {
  const lines: Line[] = [
    ...doses.map(dose => ({ at: dose.at, what: t('dose_number', { number: dose.dose + 1 }), dose })),
    ...changes.map(change => ({ at: change.at, what: changeName(change), dose: null })),
  ].sort((a, b) => Date.parse(b.at) - Date.parse(a.at))
  return (
    <details>
      <summary>{t('table')}</summary>
      <div class="wide slim" tabIndex={0} role="region" aria-label={t('table')}>
        <table>
          <thead>
            <tr>
              <th scope="col">{t('time')}</th>
              <th scope="col">{t('event')}</th>
              <th scope="col" class="r">
                {t('target')}
              </th>
              <th scope="col" class="r">
                {t('error')}
              </th>
            </tr>
          </thead>
          <tbody>
            {lines.map(({ at, what, dose }, index) => (
              <tr class={dose === null ? '' : 'link'} key={index}>
                <td class="t">{`${shortDay(new Date(at))}, ${clockSeconds(new Date(at))}`}</td>
                <td>{dose === null ? what : <a href={`/records/pours/${dose.pour_id}`}>{what}</a>}</td>
                <td class="r">{dose !== null && grams(dose.target_g)}</td>
                <td class={dose?.beyond ? 'r mark-w' : 'r'}>{dose !== null && signed(dose.error_g) + (dose.beyond ? ` (${t('beyond').toLowerCase()})` : '')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  )
}

function Learned({ learned }: { learned: readonly LessonView[] }) {
  const [first, last] = [learned[0], learned.at(-1)]
  if (first === undefined || last === undefined) return <p class="small">{t('nothing_learned')}</p>
  const span = t('learned_of', { first: moment(first.at, last.at), last: moment(last.at, first.at), count: learned.length })
  const flows = learned.map(lesson => lesson.flow_g_per_s)
  const seconds = (lag_s: number) => `${figure(lag_s, 2)}\u00a0s`
  return (
    <div class="cols two learned">
      <Course title={t('learned_flow')} values={flows} said={flowRate} span={span} />
      <Course title={t('learned_lag')} values={learned.map(lesson => lesson.lag_s)} said={seconds} span={span} />
    </div>
  )
}

interface CourseProps {
  readonly title: string
  /** In order of time; null: not known then. */
  readonly values: readonly (number | null)[]
  readonly said: (value: number) => string
  readonly span: string
}

function Course({ title, values, said, span }: CourseProps) {
  const known = values.filter(value => value !== null)
  const last = known.at(-1)
  if (last === undefined) return null
  const top = 1.15 * Math.max(...known)
  const scale: Scale = { from: 0, to: top }
  const time: Scale = { from: 0, to: Math.max(1, values.length - 1) }
  return (
    <figure class="plot">
      <h2 class="sect">{title}</h2>
      <div class="plot-box low">
        <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} preserveAspectRatio="none" role="img" aria-label={`${title}: ${said(last)}. ${span}`}>
          {ticks(scale).map(value => (
            <line class="p-grid" x1="0" x2={WIDTH} y1={down(scale, value)} y2={down(scale, value)} key={value} />
          ))}
          <path class="p-fit" d={path({ t_s: values.map((_, index) => index), net_g: values }, time, scale)} />
        </svg>
        <div aria-hidden="true">
          {ticks(scale).map(value => (
            <span class="y" style={{ '--down': String(1 - within(scale, value)) }} key={value}>
              {figure(value, tickDigits(scale))}
            </span>
          ))}
          <span class="x last">{said(last)}</span>
        </div>
      </div>
      <figcaption class="small">{span}</figcaption>
    </figure>
  )
}
