// What a view asks the daemon for.
import { useEffect, useState } from 'preact/hooks'
import { Refusal } from '../../api/api.ts'
import { reach } from '../../live/reach.ts'

export interface Asked<A> {
  /** Null until the first answer. */
  readonly answer: A | null
  readonly refusal: Refusal | null
}

/** Asks again when `key` changes, and when the page reaches the bar again; an older answer never replaces a newer one. */
export function useAsked<A>(key: string, ask: () => Promise<A>): Asked<A> {
  const [found, setFound] = useState<Asked<A>>({ answer: null, refusal: null })
  const there = reach.value !== 'cut_off'
  useEffect(() => {
    let wanted = true
    ask().then(
      answer => wanted && setFound({ answer, refusal: null }),
      (error: unknown) => {
        if (!(error instanceof Refusal)) throw error
        if (wanted) setFound(before => ({ ...before, refusal: error }))
      },
    )
    return () => void (wanted = false)
  }, [key, there])
  return found
}
