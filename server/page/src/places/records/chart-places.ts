// Where the things of a control chart stand: doses side by side in order of time, changes between them.
import type { ErrorChartView, ErrorRunView, NamedChangeView } from '../../api/schema.ts'
import { across, down, HEIGHT, type Scale } from './plot.ts'

/** Texts further apart than this, in parts of the width, do not touch. */
const APART = 0.17
const ROWS = 3

/** The scale across: dose `index` stands in the middle of its own unit. */
export const doseScale = (count: number): Scale => ({ from: -0.5, to: Math.max(count, 1) - 0.5 })

/** The scale of the errors: all of them, the limits and no error, with room above and below. */
export function errorScale({ doses, limits }: ErrorChartView): Scale {
  const values = [0, ...doses.map(dose => dose.error_g), ...(limits === null ? [] : [limits.lower_g, limits.upper_g])]
  const [least, largest] = [Math.min(...values), Math.max(...values)]
  const room = Math.max(0.1, 0.22 * (largest - least))
  return { from: least - room, to: largest + room }
}

export interface Upright {
  /** Between two doses, on the scale across. */
  readonly at: number
  readonly changes: readonly NamedChangeView[]
}

/** Changes between the same two doses are one upright. */
export function uprights({ doses, changes }: ErrorChartView): Upright[] {
  const found = new Map<number, NamedChangeView[]>()
  for (const change of changes) {
    const before = doses.filter(dose => Date.parse(dose.at) <= Date.parse(change.at)).length
    found.set(before, [...(found.get(before) ?? []), change])
  }
  return [...found].map(([before, held]) => ({ at: before - 0.5, changes: held })).sort((a, b) => a.at - b.at)
}

/** A row for each text at these places, in parts of the width, so that none touches another; null: no room. */
export function rowsOf(places: readonly number[]): (number | null)[] {
  const ends = Array.from({ length: ROWS }, () => -1)
  return places.map(at => {
    const row = ends.findIndex(end => at - end >= APART)
    if (row === -1) return null
    ends[row] = at
    return row
  })
}

/** A bracket along a run, outside its outermost dose. */
export function bracket(time: Scale, errors: Scale, { first, last, above }: ErrorRunView, outermost_g: number): string {
  const outwards = above ? -1 : 1
  const y = down(errors, outermost_g) + outwards * 0.07 * HEIGHT
  return `M${across(time, first)} ${y - outwards * 10}V${y}H${across(time, last)}V${y - outwards * 10}`
}
