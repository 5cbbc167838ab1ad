// What was refused last, with its cure, until something else is done.
import { signal } from '@preact/signals'
import { Refusal } from '../api/api.ts'

export const refusal = signal<Refusal | null>(null)

let until: ReturnType<typeof setTimeout> | undefined

/** Shows why something was not done. */
export function refused(error: unknown): void {
  if (!(error instanceof Refusal)) throw error
  refusal.value = error
  clearTimeout(until)
  until = setTimeout(() => (refusal.value = null), 20_000)
}
