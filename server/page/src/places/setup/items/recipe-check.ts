// What the daemon makes of a recipe that is being typed: asked 250 ms after the last key.
import { useEffect, useState } from 'preact/hooks'
import { post, Refusal } from '../../../api/api.ts'
import type { DrinkView } from '../../../api/schema.ts'
import { bodyOf, type Draft } from './recipe-draft.ts'

const AFTER_MS = 250

export interface Checked {
  /** The last that could be made; null: none yet. */
  readonly plan: DrinkView | null
  /** Why there is none of what stands there now. */
  readonly wrong: string | null
}

export function useCheck(draft: Draft | null): Checked {
  const [checked, setChecked] = useState<Checked>({ plan: null, wrong: null })
  const asked = draft === null || draft.steps.length === 0 ? null : JSON.stringify(bodyOf({ ...draft, name: draft.name.trim() || '?' }))
  const waits = checked.plan !== null || checked.wrong !== null
  useEffect(() => {
    if (asked === null) return
    let wanted = true
    const timer = setTimeout(
      () => {
        post('/v1/recipes/check', { body: JSON.parse(asked) }).then(
          plan => wanted && setChecked({ plan, wrong: null }),
          (error: unknown) => {
            if (!(error instanceof Refusal)) throw error
            if (wanted && error.problem.status !== 0) setChecked(before => ({ ...before, wrong: error.problem.errors?.[0]?.detail ?? error.problem.detail }))
          },
        )
      },
      waits ? AFTER_MS : 0,
    )
    return () => ((wanted = false), clearTimeout(timer))
  }, [asked])
  return asked === null ? { plan: null, wrong: null } : checked
}
