// What the daemon knows of bottles, and what this place orders of it.
import { signal } from '@preact/signals'
import { get, post, Refusal } from '../../api/api.ts'
import type { ListedChannelView, SwapBody, WeighBody } from '../../api/schema.ts'
import { refusal } from '../../shell/refused.ts'
import type { Stock } from './shelf.ts'

const UNDO_MS = 20_000

export const stock = signal<Stock | null>(null)

/** The swap that can be undone by one touch. */
export const swapped = signal<{ readonly channel: number; readonly bottle_id: string } | null>(null)

let asked = 0

/** Asks for the stock; of answers that overtake each other the newest question's is kept. Without an answer, what is
known stays until the next event. */
export async function askStock(): Promise<void> {
  const mine = ++asked
  try {
    const [outlook, channels, bottles] = await Promise.all([get('/v1/stock/outlook'), get('/v1/channels'), get('/v1/bottles')])
    if (mine === asked) stock.value = { outlook, channels, bottles }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
  }
}

export async function swap(channel: number, body: SwapBody): Promise<void> {
  refusal.value = null
  await post('/v1/channels/{number}/swap', { at: { number: channel }, body })
  const done = { channel, bottle_id: body.bottle_id }
  swapped.value = done
  setTimeout(() => swapped.value === done && (swapped.value = null), UNDO_MS)
  await askStock()
}

export async function weigh(bottle_id: string, body: WeighBody): Promise<void> {
  refusal.value = null
  await post('/v1/bottles/{bottle_id}/weigh', { at: { bottle_id }, body })
  await askStock()
}

let undoing = false

/** Once for each swap: a second one would undo the swap before. */
export async function undoSwap(channel: number): Promise<void> {
  if (undoing) return
  undoing = true
  refusal.value = null
  try {
    await post('/v1/channels/{number}/swap/undo', { at: { number: channel } })
    swapped.value = null
  } finally {
    undoing = false
  }
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
