// What the daemon says of the menu and of the round being built, asked afresh whenever something has changed.
import { signal } from '@preact/signals'
import { get, post, Refusal } from '../../api/api.ts'
import type { CheckView, MenuEntryView, MenuView, DrinkView } from '../../api/schema.ts'
import { wantedOf, type Draft } from './round.ts'

export const menu = signal<MenuView | null>(null)

/** What each drink is made of, by `planKey`; asked once for each. */
export const plans = signal<ReadonlyMap<string, DrinkView>>(new Map())

/** Another recipe under the same name has another volume or mass; another channel, other reasons. */
export const planKey = ({ recipe_id, volume_ml, target_g, blockers }: MenuEntryView): string =>
  [recipe_id, volume_ml, target_g, ...blockers.map(blocker => blocker.message)].join(' ')

/** Whether the round can be poured. `asking`: not yet known; `unknown`: the daemon did not answer. */
export type Verdict =
  | { readonly kind: 'asking' | 'unknown' }
  | { readonly kind: 'checked'; readonly check: CheckView }
  | { readonly kind: 'wrong'; readonly why: string }

export const verdict = signal<Verdict>({ kind: 'asking' })

let asked = 0

/** Asks for both; of several questions only the last is listened to. */
export async function ask(draft: Draft): Promise<void> {
  const mine = ++asked
  const [found, said] = await Promise.all([get('/v1/menu').catch(() => null), verdictOf(draft)])
  if (mine !== asked) return
  menu.value = found ?? menu.value
  verdict.value = said
  await askPlans(menu.value?.drinks ?? [])
}

async function askPlans(drinks: readonly MenuEntryView[]): Promise<void> {
  const found = await Promise.all(
    drinks
      .filter(drink => !plans.value.has(planKey(drink)))
      .map(async drink => [planKey(drink), await get('/v1/recipes/{recipe_id}/plan', { at: { recipe_id: drink.recipe_id } }).catch(() => null)] as const),
  )
  const known = found.flatMap(([key, plan]) => (plan === null ? [] : [[key, plan] as const]))
  if (known.length > 0) plans.value = new Map([...plans.value, ...known])
}

/** What was asked before is no answer to what stands there now. */
export function forget(): void {
  asked += 1
  verdict.value = { kind: 'asking' }
}

async function verdictOf(draft: Draft): Promise<Verdict> {
  if (draft.glasses.length === 0) return { kind: 'asking' }
  try {
    return { kind: 'checked', check: await post('/v1/rounds/check', { body: { glasses: wantedOf(draft) } }) }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    return error.problem.status === 422 ? { kind: 'wrong', why: error.problem.detail } : { kind: 'unknown' }
  }
}
