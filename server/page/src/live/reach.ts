// Whether this page reaches the daemon. While it is cut off, a press is refused on the spot and never sent later.
import { signal } from '@preact/signals'

export type Reach = 'asking' | 'open' | 'cut_off'

export const reach = signal<Reach>('asking')

/** When the next attempt is made, by this computer's clock in ms; null while none is waited for. */
export const nextTryAt = signal<number | null>(null)
