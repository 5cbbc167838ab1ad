// What a ticket on the rail says, of a glass of the round or of an order that waits.
import type { OrderView, RoundView } from '../api/schema.ts'
import { clockTime } from '../i18n/format.ts'
import { idOf } from '../live/queue.ts'
import { t } from './messages.ts'

/** From this age on a ticket says how long it has waited. */
const LONG_MIN = 10

export interface Ticket {
  readonly key: string
  readonly number: number
  readonly seat: string
  readonly drink: string
  readonly state: string
  /** It is in work. */
  readonly on: boolean
  /** It waits longer than it should. */
  readonly long: boolean
  /** The order that it is for; null: of none. */
  readonly orderId: string | null
}

/** `known`: what the machine does now is known. */
export function roundTickets(shown: RoundView, held: boolean, known: boolean): Ticket[] {
  if (shown.progress === null) return []
  // until the glass before is taken away, the next one only waits
  const at = shown.progress.step === 'awaiting_removal' ? shown.progress.glass - 1 : shown.progress.glass
  return shown.glasses.map(glass => ({
    key: `${shown.id}-${glass.glass}`,
    number: glass.order_number ?? glass.glass,
    seat: glass.guest ?? '',
    drink: glass.name,
    state: known ? stateOf(glass.state, glass.glass - at, { number: glass.glass, count: shown.glasses.length }, held) : t('not_known'),
    on: glass.state === 'under_way' && glass.glass === at,
    long: false,
    orderId: glass.order === null ? null : idOf(glass.order),
  }))
}

function stateOf(state: string, after: number, which: { readonly number: number; readonly count: number }, held: boolean): string {
  if (after === 0 && state === 'under_way') return held ? t('held_of', which) : t('under_way', which)
  if (after > 0) return after === 1 ? t('next_glass') : t('in_round')
  if (state === 'skipped') return t('glass_skipped')
  return state === 'complete' ? t('glass_complete') : t('glass_stopped')
}

/** `known`: the queue is as it was told last. */
export const orderTickets = (orders: readonly OrderView[], now: Date, known: boolean): Ticket[] =>
  orders.map(order => {
    const begun = new Date(order.state === 'ready' ? order.since : order.created_at)
    const age_min = Math.floor((now.getTime() - begun.getTime()) / 60_000)
    const long = known && age_min >= LONG_MIN
    const since = long ? t('waits_long', { count: age_min }) : t('since', { time: clockTime(begun) })
    return {
      key: order.id,
      number: order.number,
      seat: order.guest ?? '',
      drink: order.name,
      state: !known ? t('not_known') : order.bar_looks ? t('bar_looks') : since,
      on: false,
      long: long || order.bar_looks,
      orderId: order.id,
    }
  })
