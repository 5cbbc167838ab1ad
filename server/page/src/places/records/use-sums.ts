// What was used in a month: by day, by liquid, in all. Volumes in ml.
import type { UsageView } from '../../api/schema.ts'
import { dayOf, noon } from './filters.ts'

export interface Used {
  readonly drinks_ml: number
  readonly unfinished_ml: number
  readonly found_ml: number
  readonly primed_ml: number
  readonly spilt_ml: number
  readonly flushed_g: number
}

const NOTHING: Used = { drinks_ml: 0, unfinished_ml: 0, found_ml: 0, primed_ml: 0, spilt_ml: 0, flushed_g: 0 }

export const sumOf = (rows: readonly UsageView[]): Used =>
  rows.reduce(
    (sum, row) => ({
      drinks_ml: sum.drinks_ml + row.poured_ml,
      unfinished_ml: sum.unfinished_ml + row.unfinished_ml,
      found_ml: sum.found_ml + row.found_later_ml,
      primed_ml: sum.primed_ml + row.primed_ml + row.purged_ml,
      spilt_ml: sum.spilt_ml + row.spilt_ml,
      flushed_g: sum.flushed_g + row.flushed_g,
    }),
    NOTHING,
  )

/** What came out of the bottles and into no drink that was completed. What was found later is in a glass. */
export const lost = (used: Used): number => used.unfinished_ml + used.primed_ml + used.spilt_ml

/** What is in glasses. */
export const inGlasses = (used: Used): number => used.drinks_ml + used.found_ml

export interface Group {
  readonly key: string
  readonly name: string
  readonly used: Used
}

/** Sums of the rows that have the same key, in the order in which keys come first. */
export function groups(rows: readonly UsageView[], key: (row: UsageView) => string, name: (row: UsageView) => string): Group[] {
  const found = new Map<string, UsageView[]>()
  for (const row of rows) found.set(key(row), [...(found.get(key(row)) ?? []), row])
  return [...found].map(([at, held]) => ({ key: at, name: held[0] === undefined ? at : name(held[0]), used: sumOf(held) }))
}

/** The month of an address, as 2031-03; else that of `today`. */
export const monthOf = (asked: string | null, today: string): string => (asked !== null && /^\d{4}-(0[1-9]|1[0-2])$/.test(asked) ? asked : today.slice(0, 7))

/** The month so many months later. */
export function monthsLater(month: string, months: number): string {
  const at = noon(`${month}-01`)
  at.setMonth(at.getMonth() + months)
  return dayOf(at).slice(0, 7)
}

/** A time that holds the month in every time zone, for the API. */
export function around(month: string): { readonly since: string; readonly until: string } {
  const from = Date.parse(`${month}-01T00:00:00Z`)
  const to = Date.parse(`${monthsLater(month, 1)}-01T00:00:00Z`)
  const DAY_MS = 86_400_000
  return { since: new Date(from - DAY_MS).toISOString(), until: new Date(to + DAY_MS).toISOString() }
}
