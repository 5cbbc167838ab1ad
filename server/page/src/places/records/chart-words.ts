// What a control chart says in words.
import type { ErrorChartView, NamedChangeView } from '../../api/schema.ts'
import { clockTime, shortDay } from '../../i18n/format.ts'
import { dayOf } from './filters.ts'
import { signed } from './names.ts'
import { t } from './statistics-messages.ts'

/** What the chart says, in a sentence. */
export function sentence({ doses, limits, runs }: ErrorChartView): string {
  const beyond = doses.filter(dose => dose.beyond).length
  const count = doses.length
  if (limits === null) return t('chart_few', { count })
  const said = [t('chart', { count, mean: signed(limits.mean_g), lower: signed(limits.lower_g), upper: signed(limits.upper_g) })]
  if (beyond > 0) said.push(t('chart_beyond', { count: beyond }))
  if (runs.length > 0) said.push(t('chart_runs', { count: runs.length }))
  return said.join(' ')
}

/** A change in words. */
export const changeName = ({ kind, what }: NamedChangeView): string =>
  kind === 'bottle' || kind === 'liquid' ? t(kind, { what: what ?? '' }) : t(kind)

/** The day, or the time where both are of one day. */
export function moment(at: string, other: string): string {
  const [here, there] = [new Date(at), new Date(other)]
  return dayOf(here) === dayOf(there) ? clockTime(here) : shortDay(here)
}
