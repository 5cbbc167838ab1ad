// The orders that wait, as Now offers them: what the first one is made of, and which of them can be poured.
import { computed, signal } from '@preact/signals'
import { get, post } from '../../api/api.ts'
import type { CheckView, DrinkView, OrderView } from '../../api/schema.ts'
import { waiting } from '../../live/queue.ts'

/** What a round takes. */
const MAX_GLASSES = 100

export interface Offer {
  /** In their order, the first is the next. */
  readonly orders: readonly OrderView[]
  /** The first one as planned. */
  readonly plan: DrinkView
  /** Whether all of them can be poured. */
  readonly check: CheckView
}

const told = signal<Offer | null>(null)

const idsOf = (orders: readonly OrderView[]): string => orders.map(order => order.id).join(' ')

/** Null: no order waits, or what the daemon says of those that wait now is not yet known. */
export const offer = computed(() => {
  const wanted = idsOf(waiting.value.slice(0, MAX_GLASSES))
  return told.value !== null && idsOf(told.value.orders) === wanted ? told.value : null
})

let asked = 0

/** Asks what can be poured of them; of several questions only the last is listened to. */
export async function askOffer(): Promise<void> {
  const mine = ++asked
  const orders = waiting.value.slice(0, MAX_GLASSES)
  const [first] = orders
  if (first === undefined) return
  const [plan, check] = await Promise.all([
    get('/v1/recipes/{recipe_id}/plan', { at: { recipe_id: first.recipe_id } }),
    post('/v1/rounds/check', { body: { glasses: [], orders: orders.map(order => order.number) } }),
  ])
  if (mine === asked) told.value = { orders, plan, check }
}
