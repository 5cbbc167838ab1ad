// The pours of a day, newest first.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { PourSumsView, PourView } from '../../api/schema.ts'
import { clockTime, grams, millilitres } from '../../i18n/format.ts'
import { machine } from '../../live/bar.ts'
import { barNow } from '../../live/clock.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { replace, route } from '../../router.ts'
import { addressOf, asked, dayOf, daysLater, ENDS, filtersOf, type End, type Filters } from './filters.ts'
import { Gauge } from './gauge.tsx'
import { Journal } from './journal.tsx'
import { t } from './messages.ts'
import { drinkOf, endText, longDay, ofTarget, signed } from './names.ts'
import { useAsked } from './use-asked.ts'
import { worst } from './worst.ts'

const SHOWN = 200

export function List() {
  const filters = filtersOf(route.value.query)
  const today = dayOf(barNow())
  const day = filters.day ?? today
  const query = asked(filters, today)
  const address = new URLSearchParams(Object.entries(query).map(([name, value]) => [name, String(value)])).toString()
  const { answer, refusal } = useAsked(`${address} ${machine.value?.pour_id}`, async () => {
    const [pours, sums] = await Promise.all([get('/v1/pours', { query: { ...query, limit: SHOWN } }), get('/v1/statistics/pours', { query })])
    return { address, pours, sums }
  })
  const found = answer?.address === address ? answer : null
  const narrowed = filters.channel !== null || filters.end !== null || filters.alarm
  const title = longDay(day)
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  return (
    <>
      <h1 class="title">{title}</h1>
      <FilterRow filters={filters} day={day} csv={`/v1/pours.csv?${address}`} />
      <p class="printed">{said(filters)}</p>
      {refusal !== null && <p role="alert">{t('not_read')}</p>}
      {found === null && refusal === null && <p>{t('asking')}</p>}
      <p class="small" role="status">
        {found !== null && (found.pours.length === 0 ? t(narrowed ? 'none_filtered' : 'none') : summary(found.sums))}{' '}
        {found?.pours.length === SHOWN && t('newest', { count: SHOWN })}
      </p>
      {found !== null && found.pours.length > 0 && <Pours pours={found.pours} />}
      <Journal />
    </>
  )
}

/** The filters in words, for a printed list. */
const said = ({ channel, end, alarm }: Filters): string =>
  [channel !== null && t('channel_number', { number: channel }), end !== null && t(end), alarm && t('only_alarm')].filter(Boolean).join(', ')

const summary = ({ pours, delivered_ml, out_of_tolerance }: PourSumsView) =>
  t('summary', { count: pours, volume: millilitres(delivered_ml), out: out_of_tolerance })

function FilterRow({ filters, day, csv }: { filters: Filters; day: string; csv: string }) {
  const set = (more: Partial<Filters>) => replace(addressOf({ ...filters, ...more }))
  const channels = useAsked('channels', () => get('/v1/channels')).answer ?? []
  const numbers = new Set(channels.map(channel => channel.number))
  if (filters.channel !== null) numbers.add(filters.channel)
  return (
    <div class="filters" role="group" aria-label={t('filters')}>
      <button type="button" aria-label={t('day_before')} onClick={() => set({ day: daysLater(day, -1) })}>
        ←
      </button>
      <input type="date" aria-label={t('day')} value={day} required class={filters.day === null ? '' : 'set'} onChange={event => set({ day: event.currentTarget.value || null })} />
      <button type="button" aria-label={t('day_after')} onClick={() => set({ day: daysLater(day, 1) })}>
        →
      </button>
      <select
        aria-label={t('channel')}
        class={filters.channel === null ? '' : 'set'}
        value={String(filters.channel ?? '')}
        onChange={event => set({ channel: Number(event.currentTarget.value) || null })}
      >
        <option value="">{t('any_channel')}</option>
        {[...numbers].sort((a, b) => a - b).map(number => (
          <option value={String(number)} key={number}>
            {t('channel_number', { number })}
          </option>
        ))}
      </select>
      <select
        aria-label={t('end')}
        class={filters.end === null ? '' : 'set'}
        value={filters.end ?? ''}
        onChange={event => set({ end: (event.currentTarget.value || null) as End | null })}
      >
        <option value="">{t('any_end')}</option>
        {ENDS.map(end => (
          <option value={end} key={end}>
            {t(end)}
          </option>
        ))}
      </select>
      <button type="button" aria-pressed={filters.alarm} class={filters.alarm ? 'set' : ''} onClick={() => set({ alarm: !filters.alarm })}>
        {t('only_alarm')}
      </button>
      {(filters.channel !== null || filters.end !== null || filters.alarm) && (
        <button type="button" class="plain" onClick={() => set({ channel: null, end: null, alarm: false })}>
          {t('all')}
        </button>
      )}
      <a class="btn plain" href={csv} download>
        {t('csv')}
      </a>
    </div>
  )
}

const Pours = ({ pours }: { pours: readonly PourView[] }) => (
  <table class="pours">
    <caption class="hush">{t('pours')}</caption>
    <thead>
      <tr>
        <th scope="col">{t('begun')}</th>
        <th scope="col">{t('drink')}</th>
        <th scope="col">{t('for')}</th>
        <th scope="col" class="r">
          {t('delivered')}
        </th>
        <th scope="col">{t('worst_dose')}</th>
        <th scope="col">{t('end')}</th>
      </tr>
    </thead>
    <tbody>
      {pours.map(pour => (
        <Row pour={pour} key={pour.id} />
      ))}
    </tbody>
  </table>
)

function Row({ pour }: { pour: PourView }) {
  const dose = worst(pour.doses)
  const { text, abnormal } = endText(pour)
  return (
    <tr class="link">
      <td class="t num">{clockTime(new Date(pour.created_at))}</td>
      <td class="d">
        <a href={`/records/pours/${pour.id}`}>{drinkOf(pour)}</a>
      </td>
      <td class="f">{pour.serving?.guest ?? ''}</td>
      <td class="r m num">{t('of', ofTarget(pour))}</td>
      <td class="e">
        {dose !== null && (
          <>
            <Gauge dose={dose} />
            <span class="hush">{t('off', { liquid: dose.liquid_name, error: signed(dose.error_g ?? 0), tolerance: grams(dose.tolerance_g ?? 0) })}</span>
          </>
        )}
      </td>
      <td class="s">
        {abnormal ? (
          <span class="mark-w">
            <OpenTriangle />
            {text}
          </span>
        ) : (
          text
        )}
      </td>
    </tr>
  )
}
