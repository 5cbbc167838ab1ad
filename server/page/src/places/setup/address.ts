// The sub-places of Set-up and their addresses: `/setup/glasses` lists, `/setup/glasses/ID` edits, `/setup/glasses?new=1` adds.
import type { Route } from '../../router.ts'

export const PATH = '/setup'

export const PARTS = ['recipes', 'liquids', 'glasses', 'channels', 'bottles', 'scale', 'cleaning', 'file', 'page'] as const
export type Part = (typeof PARTS)[number]

/** What can be listed and edited. */
export type Listed = 'recipes' | 'liquids' | 'glasses' | 'channels' | 'bottles'

export interface Where {
  readonly part: Part
  /** What stands below the part in the path; null: nothing. */
  readonly one: string | null
  readonly adding: boolean
}

/** Without a part that exists: recipes. */
export function whereIn({ path, query }: Route): Where {
  const [, , part, one] = path.split('/')
  const known = PARTS.find(found => found === part)
  return {
    part: known ?? 'recipes',
    one: known === undefined || one === undefined || one === '' ? null : decoded(one),
    adding: query.get('new') === '1',
  }
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}

export const addressOf = (part: Part, one?: string): string => (one === undefined ? `${PATH}/${part}` : `${PATH}/${part}/${encodeURIComponent(one)}`)

export const addingTo = (part: Listed): string => `${PATH}/${part}?new=1`
