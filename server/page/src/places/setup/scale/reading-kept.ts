// What the guide of calibration has read so far. It is kept in the tab, so that a reload loses nothing.
import { signal } from '@preact/signals'
import type { CornersView } from '../../../api/schema.ts'
import { addressOf } from '../address.ts'

export const STEPS = [1, 2, 3, 4, 5, 6] as const
export type Step = (typeof STEPS)[number]

interface Read {
  readonly empty_counts?: number
  readonly reference: string
  /** Counts per g of the calibration before; null: there was none. */
  readonly before?: number | null
  readonly now?: number
  readonly empty_g?: number
  /** What the corners read so far, in g. */
  readonly corners_g?: readonly number[]
  readonly judged?: CornersView
}

const KEY = 'set-up calibrate'

export const kept = signal<Read>(stored())

function stored(): Read {
  try {
    return (JSON.parse(sessionStorage.getItem(KEY) ?? 'null') as Read | null) ?? { reference: '500' }
  } catch {
    return { reference: '500' }
  }
}

export function keep(different: Partial<Read>): void {
  write({ ...kept.value, ...different })
}

/** Whoever leaves begins anew next time. */
export function forget(): void {
  write({ reference: kept.value.reference })
}

/** The mass was read: what was checked by an earlier span holds no longer. */
export function keepSpan(now: number): void {
  const { empty_g: _, corners_g: __, judged: ___, ...rest } = kept.value
  write({ ...rest, now })
}

/** The corners are read anew. */
export function forgetCorners(): void {
  const { corners_g: _, judged: __, ...rest } = kept.value
  write(rest)
}

function write(read: Read): void {
  kept.value = read
  try {
    sessionStorage.setItem(KEY, JSON.stringify(read))
  } catch {
    // a browser that keeps nothing: until the page is loaded again
  }
}

export const addressOfStep = (step: Step): string => `${addressOf('scale', 'calibrate')}?step=${step}`

/** The step of the address, or the last before it that what was read allows. */
export function stepIn(query: URLSearchParams): Step {
  const { empty_counts, now, empty_g } = kept.value
  const asked = STEPS.find(step => String(step) === query.get('step')) ?? 1
  const allowed = empty_counts === undefined ? 2 : now === undefined ? 3 : empty_g === undefined ? 4 : 6
  return STEPS[Math.min(asked, allowed) - 1] ?? 1
}
