// The newest reading. It is live for a second after it came, by the page's own clock; after that there is none, so
// that no part of the page can show a stale one.
import { signal } from '@preact/signals'
import { barNow } from './clock.ts'
import type { Reading } from './reading.ts'

const LIVE_MS = 1000
const SHOWN_EACH_MS = 190
const FLOW_KEPT_MS = 8000
const FLOWING = new Set(['coarse_feed', 'fine_feed', 'settling', 'jog_feed'])

/** The newest reading, at most five a second; null: none is live. */
export const reading = signal<Reading | null>(null)

/** When the last reading came, by the daemon's clock. */
export const lastReadingAt = signal<Date | null>(null)

export interface FlowPoint {
  readonly atMs: number
  readonly flow: number | null
}

/** Flows of the last 8 s, oldest first, while a dose is poured: before that the glass is put on. */
export const flows = signal<readonly FlowPoint[]>([])

let taken = 0
let expiry: ReturnType<typeof setTimeout> | undefined

export function takeReading(found: Reading): void {
  const now = performance.now()
  clearTimeout(expiry)
  expiry = setTimeout(dropReading, LIVE_MS)
  if (reading.value !== null && now - taken < SHOWN_EACH_MS && reading.value.state === found.state) return
  taken = now
  lastReadingAt.value = barNow()
  const kept = flows.value.filter(point => now - point.atMs < FLOW_KEPT_MS)
  flows.value = FLOWING.has(found.state ?? '') ? [...kept, { atMs: now, flow: found.flow_g_per_s }] : []
  reading.value = found
}

export function dropReading(): void {
  clearTimeout(expiry)
  reading.value = null
  flows.value = []
}

// A hidden tab runs its timers late: what it shows when it comes back must not be what it showed before.
document.addEventListener('visibilitychange', () => {
  if (performance.now() - taken > LIVE_MS) dropReading()
})
