// One live reading, as the event `reading` carries it.
export interface Reading {
  readonly gross_g: number
  readonly net_g: number
  readonly flow_g_per_s: number | null
  readonly stable: boolean
  /** The gross mean at rest; null while it moves. Just after the load has changed it may be the earlier one. */
  readonly rest_g: number | null
  readonly pour_id: string | null
  /** The step of the pour under way, as `progress.step` of a pour. */
  readonly state: string | null
  /** What each dose begun has delivered. */
  readonly delivered_g: readonly number[] | null
  /** False: the daemon itself does not call it fresh. */
  readonly fresh?: boolean
}

/** The reading of an event; null if it tells no mass that is live. */
export function readingOf(data: string): Reading | null {
  const body = JSON.parse(data) as Reading
  return typeof body.gross_g === 'number' && body.fresh !== false ? body : null
}

/** What the pour under way has delivered so far, in g; null: nothing was weighed. */
export const pouredOf = (reading: Reading): number | null =>
  reading.delivered_g === null ? null : reading.delivered_g.reduce((sum, mass) => sum + mass, 0)
