// What the bar tells a guest: the menu, and how the guest's own orders stand. A phone asks seldom while it is far from
// its turn and often when it is near, so that a full house costs the bar little.
import { computed, signal } from '@preact/signals'
import { get, Refusal } from '../../api/api.ts'
import type { GuestMenuView, GuestOrderView } from '../../api/schema.ts'
import { kept } from '../../kept.ts'
import { pauseMs } from './pace.ts'

const MENU_EACH_MS = 60_000

export const bar = signal('')
export const menu = signal<GuestMenuView | null>(null)
/** How the orders of this phone stand, newest first. */
export const orders = signal<readonly GuestOrderView[]>([])
/** `over`: the link of the evening has ended. */
export const contact = signal<'asking' | 'there' | 'offline' | 'over'>('asking')

/** The orders of this phone, newest first, by their ids: whoever has an id may see its order. */
const keptIds = kept('orders')
const ids = computed(() => (keptIds.value === '' ? [] : keptIds.value.split(',')))

let failures = 0
let menuAskedMs = Number.NEGATIVE_INFINITY
let wake: () => void = () => undefined

export function keep(order: GuestOrderView): void {
  keptIds.value = [order.id, ...ids.value.filter(id => id !== order.id)].join(',')
  take(order)
}

/** The guest has seen how it ended. */
export function forget(id: string): void {
  keptIds.value = ids.value.filter(other => other !== id).join(',')
  orders.value = orders.value.filter(order => order.id !== id)
}

export function take(order: GuestOrderView): void {
  const known = orders.value.some(other => other.id === order.id)
  orders.value = known ? orders.value.map(other => (other.id === order.id ? order : other)) : [order, ...orders.value]
  wake()
}

export const isOver = (order: GuestOrderView): boolean => ['collected', 'taken_back', 'sent_back'].includes(order.state)

/** Asks for ever. `shown` is the order whose address is open. */
export async function follow(shown: string | null): Promise<never> {
  for (const kind of ['online', 'offline']) addEventListener(kind, () => wake())
  document.addEventListener('visibilitychange', () => document.hidden || wake())
  if (shown !== null && !ids.value.includes(shown)) keptIds.value = [shown, ...ids.value].join(',')
  bar.value = await get('/v1/session').then(session => session.name, () => '')
  for (;;) {
    try {
      if (performance.now() - menuAskedMs >= MENU_EACH_MS) await askMenu()
      await askOrders()
      failures = 0
      contact.value = 'there'
    } catch (error) {
      failures += 1
      const refused = error instanceof Refusal && [401, 403].includes(error.problem.status)
      contact.value = refused ? 'over' : 'offline'
    }
    await new Promise<void>(resolve => {
      wake = resolve
      setTimeout(resolve, pauseMs(orders.value, failures, Math.random()))
    })
  }
}

async function askMenu(): Promise<void> {
  menu.value = await get('/v1/guest/menu')
  menuAskedMs = performance.now()
}

async function askOrders(): Promise<void> {
  for (const id of ids.value) {
    const known = orders.value.find(order => order.id === id)
    if (known !== undefined && isOver(known)) continue
    try {
      const found = await get('/v1/guest/orders/{order_id}', { at: { order_id: id } })
      if (known === undefined && isOver(found) && found.state !== 'sent_back') forget(id)
      else orders.value = known === undefined ? [...orders.value, found] : orders.value.map(order => (order.id === id ? found : order))
    } catch (error) {
      if (!(error instanceof Refusal) || ![404, 422].includes(error.problem.status)) throw error
      forget(id) // of another database
    }
  }
}
