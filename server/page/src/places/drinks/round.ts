// The round being built, as it stands in the address: `second-bell:F 12,half-hour-call` are two glasses, the first for
// F 12. It survives a reload.
import type { WantedBody } from '../../api/schema.ts'

interface Wanted {
  readonly recipe_id: string
  /** A seat or a label; empty: nobody in particular. */
  readonly guest: string
}

export interface Draft {
  readonly glasses: readonly Wanted[]
  /** Each glass is poured as soon as the right one stands there. */
  readonly auto_start: boolean
}

/** Where the link for guests is. */
export const GUESTS = '/drinks/guests'

/** What the daemon takes. */
export const MAX_GLASSES = 100
export const MAX_GUEST = 60

/** Reads the address; what is no glass is left out. */
export function draftOf(query: URLSearchParams): Draft {
  const glasses = (query.get('round') ?? '')
    .split(',')
    .map(entry => {
      const [recipe_id = '', guest = ''] = entry.split(':').map(unescaped)
      return { recipe_id: recipe_id.trim(), guest: guest.slice(0, MAX_GUEST) }
    })
    .filter(glass => glass.recipe_id !== '')
    .slice(0, MAX_GLASSES)
  return { glasses, auto_start: query.get('auto') !== '0' }
}

/** The address of the place with this round. */
export function addressOf({ glasses, auto_start }: Draft, hash = ''): string {
  const round = glasses.map(glass => escaped(glass.recipe_id) + (glass.guest === '' ? '' : `:${escaped(glass.guest)}`)).join(',')
  const query = new URLSearchParams({ ...(round === '' ? {} : { round }), ...(auto_start ? {} : { auto: '0' }) })
  const text = query.toString().replaceAll('%3A', ':').replaceAll('%2C', ',')
  return `/drinks${text === '' ? '' : `?${text}`}${hash}`
}

/** `%`, `,` and `:` of a name, which would part the entries. */
const escaped = (text: string): string => text.replace(/[%,:]/g, encodeURIComponent)

const unescaped = (text: string): string => text.replace(/%(25|2C|3A)/g, decodeURIComponent)

export const countOf = ({ glasses }: Draft, recipe_id: string): number =>
  glasses.filter(glass => glass.recipe_id === recipe_id).length

/** One glass more, as long as a round has room for it. */
export const withOne = (draft: Draft, recipe_id: string): Draft =>
  draft.glasses.length >= MAX_GLASSES ? draft : { ...draft, glasses: [...draft.glasses, { recipe_id, guest: '' }] }

/** One glass of a drink less: the last that is for nobody, else the last. */
export function withoutOne(draft: Draft, recipe_id: string): Draft {
  const { glasses } = draft
  const free = glasses.findLastIndex(glass => glass.recipe_id === recipe_id && glass.guest === '')
  const place = free >= 0 ? free : glasses.findLastIndex(glass => glass.recipe_id === recipe_id)
  return place < 0 ? draft : without(draft, place)
}

export const without = (draft: Draft, place: number): Draft => ({
  ...draft,
  glasses: draft.glasses.filter((_, index) => index !== place),
})

export const forGuest = (draft: Draft, place: number, guest: string): Draft => ({
  ...draft,
  glasses: draft.glasses.map((glass, index) => (index === place ? { ...glass, guest } : glass)),
})

/** What the daemon is asked for. */
export const wantedOf = ({ glasses }: Draft): WantedBody[] =>
  glasses.map(({ recipe_id, guest }) => ({ recipe_id, count: 1, guest: guest.trim() === '' ? null : guest.trim() }))
