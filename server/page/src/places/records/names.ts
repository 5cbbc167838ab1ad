// How a pour is called, and how it ended.
import type { DoseView, PourView } from '../../api/schema.ts'
import { clockSeconds, figure, grams } from '../../i18n/format.ts'
import { language } from '../../i18n/language.ts'
import { noon } from './filters.ts'
import { t } from './messages.ts'

const ENDED = ['complete', 'stopped', 'aborted', 'interrupted'] as const
type Ended = (typeof ENDED)[number]

/** Null: under way. */
const endOf = (pour: PourView): Ended | null => ENDED.find(end => end === pour.state) ?? null

export function drinkOf(pour: PourView): string {
  if (pour.purpose === 'prime' || pour.purpose === 'flush' || pour.purpose === 'purge') return t(pour.purpose)
  return pour.recipe?.name ?? t('drink_by_channels')
}

export const ofTarget = (pour: PourView) => ({
  delivered: pour.delivered_g === null ? t('unknown') : grams(pour.delivered_g),
  target: grams(pour.target_g),
})

/** A mass with the half-width of its 95 % interval, twice its standard uncertainty, rounded up to 0.1 g. */
export const interval = (mass_g: number, uncertainty_g: number | null): string =>
  uncertainty_g === null ? grams(mass_g) : `${figure(mass_g, 1)} ± ${grams(Math.ceil(20 * uncertainty_g) / 10)}`

/** With its sign: `+1.1 g`. */
export const signed = (error_g: number): string => (error_g >= 0.05 ? '+' : '') + grams(error_g)

export const missed = (doses: readonly DoseView[]): DoseView[] => doses.filter(dose => dose.verdict === 'under' || dose.verdict === 'over')

/** How it ended, for the list, and whether that is abnormal. */
export function endText(pour: PourView): { readonly text: string; readonly abnormal: boolean } {
  const end = endOf(pour)
  if (end === null) return { text: t('under_way'), abnormal: false }
  if (end !== 'complete') {
    const text = pour.ended_at === null ? t(end) : t(`${end}_at`, { time: clockSeconds(new Date(pour.ended_at)) })
    return { text, abnormal: true }
  }
  const first = missed(pour.doses)[0]
  if (first === undefined) return { text: t('complete'), abnormal: false }
  const text = t(first.verdict === 'over' ? 'over' : 'under', { liquid: first.liquid_name, error: signed(first.error_g ?? 0) })
  return { text, abnormal: true }
}

/** One sentence about the whole pour. */
export function verdictOf(pour: PourView): string {
  const end = endOf(pour)
  if (end === null) return t('verdict_under_way')
  const masses = { ...ofTarget(pour), ...(pour.final_g !== null && { delivered: interval(pour.final_g, pour.final_uncertainty_g) }) }
  if (end !== 'complete') return t(`verdict_${end}`, masses)
  const out = missed(pour.doses)
  const names = out.map(dose => `${dose.liquid_name} ${signed(dose.error_g ?? 0)}`).join(', ')
  if (out.length > 0) return t('verdict_out', { ...masses, count: out.length, names })
  if (pour.doses.some(dose => dose.verdict === null)) return t('verdict_none', masses)
  return t('verdict_within', { ...masses, count: pour.doses.length })
}

/** `Friday 14 March 2031`, `Freitag, 14. März 2031` */
export function longDay(day: string): string {
  const parts = { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' } as const
  if (language.value === 'en') return noon(day).toLocaleDateString('en-GB', parts).replace(',', '')
  return noon(day).toLocaleDateString(language.value, parts)
}
