// The open swap is in the address: `/bottles?swap=8`.
export const PATH = '/bottles'

/** The channel whose bottle is being swapped; null: none. */
export function swapIn(query: URLSearchParams): number | null {
  const asked = query.get('swap') ?? ''
  return /^[1-9]\d?$/.test(asked) ? Number(asked) : null
}

export const swapAddress = (channel: number): string => `${PATH}?swap=${channel}`
