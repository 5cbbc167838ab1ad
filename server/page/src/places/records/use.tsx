// What was used in a month, and what was lost.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import { grams, millilitres, percent } from '../../i18n/format.ts'
import { language } from '../../i18n/language.ts'
import { machine } from '../../live/bar.ts'
import { barNow } from '../../live/clock.ts'
import { replace, route } from '../../router.ts'
import { dayOf, noon } from './filters.ts'
import { t as pours } from './messages.ts'
import { longDay } from './names.ts'
import { t } from './statistics-messages.ts'
import { around, groups, inGlasses, lost, monthOf, monthsLater, sumOf, type Group } from './use-sums.ts'
import { useAsked } from './use-asked.ts'

export function Use() {
  const month = monthOf(route.value.query.get('month'), dayOf(barNow()))
  const { answer, refusal } = useAsked(`${month} ${machine.value?.pour_id}`, async () => ({
    month,
    rows: (await get('/v1/statistics/usage', { query: around(month) })).filter(row => row.day.startsWith(month)),
  }))
  const rows = answer?.month === month ? answer.rows : null
  const title = noon(`${month}-01`).toLocaleDateString(language.value, { month: 'long', year: 'numeric' })
  useEffect(() => void (document.title = pours('title', { what: `${t('use')}, ${title}` })), [title])
  const go = (months: number) => replace(`/records/use?month=${monthsLater(month, months)}`)
  const sum = sumOf(rows ?? [])
  const all = inGlasses(sum) + lost(sum)
  return (
    <>
      <h1 class="title">{title}</h1>
      <div class="filters">
        <button type="button" aria-label={t('month_before')} onClick={() => go(-1)}>
          ←
        </button>
        <button type="button" aria-label={t('month_after')} onClick={() => go(1)}>
          →
        </button>
      </div>
      {refusal !== null && <p role="alert">{pours('not_read')}</p>}
      {rows === null && refusal === null && <p>{pours('asking')}</p>}
      <p role="status">
        {rows !== null &&
          (rows.length === 0
            ? t('no_use')
            : t('used', { drinks: millilitres(inGlasses(sum)), lost: millilitres(lost(sum)), percent: percent(all > 0 ? lost(sum) / all : 0) }))}
      </p>
      {rows !== null && rows.length > 0 && (
        <>
          <Table title={t('by_liquid')} head={t('liquid_head')} rows={groups(rows, row => row.liquid_id, row => row.liquid_name).sort(byUse)} />
          <Table title={t('by_day')} head={t('day')} rows={groups(rows, row => row.day, row => longDay(row.day))} />
          <p class="small">{t('bar')}</p>
        </>
      )}
    </>
  )
}

const outOf = ({ used }: Group): number => inGlasses(used) + lost(used)
const byUse = (a: Group, b: Group): number => outOf(b) - outOf(a)

function Table({ title, head, rows }: { title: string; head: string; rows: readonly Group[] }) {
  const most = Math.max(1, ...rows.map(outOf))
  return (
    <>
      <h2 class="sect">{title}</h2>
      <div class="wide" tabIndex={0} role="region" aria-label={title}>
        <table>
          <thead>
            <tr>
              <th scope="col">{head}</th>
              <th scope="col">
                <span class="hush">{t('bar_head')}</span>
              </th>
              {(['in_drinks', 'unfinished', 'found', 'primed', 'spilt', 'flushed'] as const).map(key => (
                <th scope="col" class="r" key={key}>
                  {t(key)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(row => (
              <tr key={row.key}>
                <th scope="row" class="name">
                  {row.name}
                </th>
                <td>
                  <Bar drinks={inGlasses(row.used) / most} lost={lost(row.used) / most} />
                </td>
                <td class="r">{millilitres(row.used.drinks_ml)}</td>
                <td class="r">{ml(row.used.unfinished_ml)}</td>
                <td class="r">{ml(row.used.found_ml)}</td>
                <td class="r">{ml(row.used.primed_ml)}</td>
                <td class="r">{ml(row.used.spilt_ml)}</td>
                <td class="r">{row.used.flushed_g > 0 && grams(row.used.flushed_g)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  )
}

/** Nothing where there was nothing, so that what was lost stands out. */
const ml = (volume_ml: number): string => (volume_ml < 0.05 ? '' : millilitres(volume_ml, volume_ml < 10 ? 1 : 0))

const WIDE = 100

const Bar = ({ drinks, lost: open }: { drinks: number; lost: number }) => (
  <svg class="used" viewBox={`0 0 ${WIDE} 12`} preserveAspectRatio="none" aria-hidden="true">
    <rect class="u-full" x="0" y="2" width={drinks * WIDE} height="8" />
    <rect class="u-lost" x={drinks * WIDE} y="2" width={open * WIDE} height="8" />
  </svg>
)
