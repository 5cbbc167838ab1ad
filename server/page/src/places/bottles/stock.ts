// What the daemon knows of bottles, and what this place orders of it.
import { signal } from '@preact/signals'
import { get, post } from '../../api/api.ts'
import type { ListedChannelView, SwapBody } from '../../api/schema.ts'
import { refusal } from '../../shell/refused.ts'
import type { Stock } from './shelf.ts'

const UNDO_MS = 20_000

export const stock = signal<Stock | null>(null)

/** The swap that can be undone by one touch. */
export const swapped = signal<{ readonly channel: number; readonly bottle_id: string } | null>(null)

let asked = 0

/** Asks for the stock; of answers that overtake each other the newest question's is kept. */
export async function askStock(): Promise<void> {
  const mine = ++asked
  const [outlook, channels, bottles] = await Promise.all([get('/v1/stock/outlook'), get('/v1/channels'), get('/v1/bottles')])
  if (mine === asked) stock.value = { outlook, channels, bottles }
}

export async function swap(channel: number, body: SwapBody): Promise<void> {
  refusal.value = null
  await post('/v1/channels/{number}/swap', { at: { number: channel }, body })
  const done = { channel, bottle_id: body.bottle_id }
  swapped.value = done
  setTimeout(() => swapped.value === done && (swapped.value = null), UNDO_MS)
  await askStock()
}

export async function undoSwap(channel: number): Promise<void> {
  refusal.value = null
  await post('/v1/channels/{number}/swap/undo', { at: { number: channel } })
  swapped.value = null
  await askStock()
}

export type Step = ListedChannelView['steps'][number]

/** Runs one step of what a channel needs. */
export async function run(channel: number, step: Step): Promise<void> {
  const at = { number: channel }
  refusal.value = null
  if (step.request === 'prime') await post('/v1/channels/{number}/prime', { at })
  else if (step.request === 'purge') await post('/v1/channels/{number}/purge', { at })
  else {
    const body = { agent: step.agent ?? 'water', amount_g: Math.max(FLUSH_G, step.min_g ?? 0) }
    await post('/v1/channels/{number}/flush', { at, body })
  }
}

/** The daemon's own default. */
export const FLUSH_G = 200
