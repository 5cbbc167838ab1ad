// The service and its orders, asked afresh whenever an event says that one has changed.
import { computed, signal } from '@preact/signals'
import { get, Refusal } from '../api/api.ts'
import type { OrderView, ServiceView } from '../api/schema.ts'
import { machine, round } from './bar.ts'

/** Those still to be poured, in their order; then those that are ready. */
export const orders = signal<readonly OrderView[]>([])

/** Those of the round under way, by their ids. */
const inRound = computed(() => {
  const glasses = machine.value?.round_id == null ? [] : (round.value?.glasses ?? [])
  const taken = glasses.filter(glass => glass.order !== null && glass.state !== 'skipped')
  return new Set(taken.map(glass => idOf(glass.order ?? '')))
})

/** The service that is open, else the last one; null: there was none yet, or nobody has told. */
export const service = signal<ServiceView | null>(null)

/** Those that no round has taken, in their order. */
export const waiting = computed(() =>
  orders.value.filter(order => ['waiting', 'next'].includes(order.state) && !inRound.value.has(order.id)),
)

/** Those that are ready, and were poured before the round under way. */
export const ready = computed(() => orders.value.filter(order => order.state === 'ready' && !inRound.value.has(order.id)))

/** The last part of a link. */
export const idOf = (link: string): string => link.slice(link.lastIndexOf('/') + 1)

let asked = 0

/** Of several answers only the last counts. */
export async function askQueue(): Promise<void> {
  const mine = ++asked
  const found = await get('/v1/orders')
  if (mine === asked) orders.value = found
}

export async function askService(): Promise<void> {
  try {
    service.value = await get('/v1/service')
  } catch (error) {
    if (!(error instanceof Refusal) || error.problem.status !== 404) throw error
    service.value = null
  }
}
