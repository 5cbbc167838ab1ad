// Which pours are shown: a day and what narrows it, as the address has it.
export const ENDS = ['complete', 'stopped', 'aborted', 'interrupted', 'out_of_tolerance'] as const
export type End = (typeof ENDS)[number]

export interface Filters {
  /** As 2031-03-14; null: today. */
  readonly day: string | null
  readonly channel: number | null
  readonly end: End | null
  /** Only pours that raised an alarm. */
  readonly alarm: boolean
}

/** What the address says; what it says wrongly is left out. */
export function filtersOf(query: URLSearchParams): Filters {
  const day = query.get('day') ?? ''
  const channel = Number(query.get('channel') ?? 0)
  return {
    day: isDay(day) ? day : null,
    channel: Number.isSafeInteger(channel) && channel > 0 ? channel : null,
    end: ENDS.find(end => end === query.get('end')) ?? null,
    alarm: query.get('alarm') === '1',
  }
}

export function addressOf(filters: Filters): string {
  const query = new URLSearchParams()
  if (filters.day !== null) query.set('day', filters.day)
  if (filters.channel !== null) query.set('channel', String(filters.channel))
  if (filters.end !== null) query.set('end', filters.end)
  if (filters.alarm) query.set('alarm', '1')
  const text = query.toString()
  return text === '' ? '/records' : `/records?${text}`
}

/** The same as a query of the API. */
export function asked(filters: Filters, today: string): Record<string, string | number | boolean> {
  const query: Record<string, string | number | boolean> = { day: filters.day ?? today }
  if (filters.channel !== null) query['channel'] = filters.channel
  if (filters.end === 'out_of_tolerance') query['out_of_tolerance'] = true
  else if (filters.end !== null) query['state'] = filters.end
  if (filters.alarm) query['alarm'] = true
  return query
}

/** The local day of a moment. */
export function dayOf(at: Date): string {
  const two = (part: number) => String(part).padStart(2, '0')
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`
}

/** The day so many days later. */
export function daysLater(day: string, days: number): string {
  const at = noon(day)
  at.setDate(at.getDate() + days)
  return dayOf(at)
}

/** A moment of a day that no change of the clocks moves to another day. */
export const noon = (day: string): Date => new Date(`${day}T12:00:00`)

const isDay = (text: string): boolean =>
  /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(noon(text).getTime()) && dayOf(noon(text)) === text
