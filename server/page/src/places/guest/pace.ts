// How long a phone waits before it asks the bar again.
import type { GuestOrderView } from '../../api/schema.ts'

const SECOND = 1000

/** Seldom while the turn is far away, often when it is near; after failures ever more seldom. `luck`, from 0 to 1,
 * spreads phones that would else ask at the same moment. */
export function pauseMs(orders: readonly GuestOrderView[], failures: number, luck: number): number {
  const wait = failures > 0 ? Math.min(30, 2 ** failures) : Math.min(60, ...orders.map(pauseFor))
  return wait * SECOND * (0.85 + 0.3 * luck)
}

function pauseFor({ state, before }: GuestOrderView): number {
  if (state === 'next' || state === 'pouring') return 3
  if (state === 'ready') return 5
  if (state === 'waiting') return (before ?? 0) <= 2 ? 5 : 15
  return 60
}
