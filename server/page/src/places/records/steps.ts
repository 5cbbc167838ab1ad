// The steps of a pour by name, and what happened in it, in order.
import type { TracePictureView } from '../../api/schema.ts'
import { duration } from '../../i18n/format.ts'
import { t } from './messages.ts'

const STEPS = [
  'awaiting_glass',
  'taring',
  'coarse_feed',
  'fine_feed',
  'settling',
  'jog_feed',
  'suck_back',
  'holding',
  'held',
  'restarting',
  'stopping',
  'aborting',
] as const

/** In the language of the page; a step that this page does not know keeps the API's name. */
export function stepName(step: string): string {
  const known = STEPS.find(name => name === step)
  return known === undefined ? step.replaceAll('_', ' ') : t(`step_${known}`)
}

export interface Happened {
  readonly at_s: number
  readonly text: string
  /** What the API says of it, in English. */
  readonly said: string
}

export function happened(trace: TracePictureView): Happened[] {
  const steps = trace.steps.map(({ step, from_s, dose, cause }) => ({
    at_s: from_s,
    text: dose === null ? stepName(step) : t('of_dose', { step: stepName(step), number: dose + 1 }),
    said: cause?.replaceAll('_', ' ') ?? '',
  }))
  const cuts = trace.cut_offs_s.map(at_s => ({ at_s, text: t('cut_off'), said: '' }))
  const gaps = trace.gaps.map(({ from_s, to_s }) => ({ at_s: from_s, text: t('gap', { time: duration(to_s - from_s, 1) }), said: '' }))
  const alarms = trace.alarms.map(({ at_s, text }) => ({ at_s, text: '', said: text }))
  const rescaled = trace.rescaled.map(({ at_s }) => ({ at_s, text: t('rescaled'), said: '' }))
  return [...cuts, ...rescaled, ...gaps, ...alarms, ...steps].sort((a, b) => a.at_s - b.at_s)
}
