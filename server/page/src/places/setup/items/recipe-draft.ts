// A recipe as it stands in its form, and as the API takes and gives it.
import type { Hand, RecipeBody, RecipeView } from '../../../api/schema.ts'
import type { Line } from '../editor.ts'
import { figureOf, orNull, typed } from '../typed.ts'
import { t } from './messages.ts'

export const HANDS = ['ice', 'top_up', 'garnish', 'other'] as const satisfies readonly Hand[]

export interface Step {
  /** Tells steps apart while they are moved; it is not sent. */
  readonly key: number
  readonly kind: 'dose' | Hand
  readonly liquid_id: string
  readonly amount: string
  readonly what: string
  readonly ice_g: string
}

export interface Draft {
  readonly name: string
  readonly glass_id: string
  readonly volume_ml: string
  readonly price: string
  readonly keep_order: boolean
  readonly note: string
  readonly steps: readonly Step[]
}

const EMPTY = { liquid_id: '', amount: '', what: '', ice_g: '' }

const nextKey = (steps: readonly Step[]): number => Math.max(0, ...steps.map(step => step.key)) + 1

export const blank = (): Draft => ({ name: '', glass_id: '', volume_ml: '', price: '', keep_order: false, note: '', steps: [] })

export const draftOf = (view: RecipeView): Draft => ({
  name: view.name,
  glass_id: view.glass_id ?? '',
  volume_ml: typed(view.volume_ml),
  price: typed(view.price),
  keep_order: view.keep_order ?? false,
  note: view.note ?? '',
  steps: view.steps.map((step, key) =>
    'hand' in step
      ? { key, kind: step.hand, liquid_id: step.liquid_id ?? '', amount: step.amount ?? '', what: step.what, ice_g: step.ice_g ? typed(step.ice_g) : '' }
      : { ...EMPTY, key, kind: 'dose', liquid_id: step.liquid_id, amount: step.amount },
  ),
})

export const bodyOf = (draft: Draft): RecipeBody => ({
  name: draft.name,
  glass_id: orNull(draft.glass_id),
  volume_ml: figureOf(draft.volume_ml),
  price: figureOf(draft.price),
  keep_order: draft.keep_order,
  note: draft.note,
  steps: draft.steps.map(step => {
    if (step.kind === 'dose') return { liquid_id: step.liquid_id, amount: step.amount }
    return {
      hand: step.kind,
      what: step.what,
      ice_g: step.kind === 'ice' ? (figureOf(step.ice_g) ?? 0) : 0,
      liquid_id: bringsLiquid(step) ? orNull(step.liquid_id) : null,
      amount: step.kind === 'top_up' ? orNull(step.amount.trim()) : null,
    }
  }),
})

export const bringsLiquid = ({ kind }: Step): boolean => kind === 'dose' || kind === 'top_up' || kind === 'garnish'

/** Another step at the end. */
export const withStep = (steps: readonly Step[], kind: Step['kind'], liquid_id: string): readonly Step[] => [...steps, { ...EMPTY, key: nextKey(steps), kind, liquid_id }]

export const withoutStep = (steps: readonly Step[], at: number): readonly Step[] => steps.filter((_, index) => index !== at)

export const changed = (steps: readonly Step[], at: number, different: Partial<Step>): readonly Step[] =>
  steps.map((step, index) => (index === at ? { ...step, ...different } : step))

/** The step one place up (-1) or down (1); at the ends nothing moves. */
export function moved(steps: readonly Step[], at: number, by: -1 | 1): readonly Step[] {
  const [one, other] = [steps[at], steps[at + by]]
  if (one === undefined || other === undefined) return steps
  return steps.map((step, index) => (index === at ? other : index === at + by ? one : step))
}

/** What two versions may differ in: a step is known by what it adds, and by which of its kind it is. */
export function linesOf(draft: Draft, liquidName: (id: string) => string, glassName: (id: string) => string): Line[] {
  const seen = new Map<string, number>()
  const steps = draft.steps.map((step): Line => {
    const name = step.kind === 'dose' ? liquidName(step.liquid_id) : step.what || t(`hand_${step.kind}`)
    const count = (seen.get(name) ?? 0) + 1
    seen.set(name, count)
    const amount = step.kind === 'ice' ? `${step.ice_g}\u00a0g` : step.amount || t('there')
    return [count === 1 ? name : t('again', { name, count }), amount]
  })
  return [
    [t('name'), draft.name],
    [t('served_in'), draft.glass_id === '' ? t('any_glass') : glassName(draft.glass_id)],
    [t('volume_ml'), draft.volume_ml],
    [t('price'), draft.price],
    ...steps,
    [t('order'), steps.map(([name]) => name).join(', ')],
    [t('keep_order'), draft.keep_order ? t('there') : ''],
    [t('note'), draft.note],
  ]
}
