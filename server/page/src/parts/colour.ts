// The colour of a liquid that has none of its own: by its id, so that it is the same everywhere and neighbours differ.
const SHADES = ['#e39a2d', '#b8432f', '#e8dfc4', '#6f8f3a', '#8a5a2b', '#c9b037', '#7d3c5d', '#d9773f', '#4f7f78', '#a9a2d0', '#c26d7e', '#93b5c6']

export function colourOf(liquidId: string, others: readonly string[] = []): string {
  const ids = [...new Set([liquidId, ...others])].sort()
  const taken = new Set<number>()
  for (const id of ids) {
    let shade = hash(id) % SHADES.length
    while (taken.has(shade) && taken.size < SHADES.length) shade = (shade + 1) % SHADES.length
    if (id === liquidId) return SHADES[shade] ?? '#999999'
    taken.add(shade)
    if (taken.size === SHADES.length) taken.clear()
  }
  return '#999999'
}

/** FNV-1a, 32 bits. */
function hash(text: string): number {
  let found = 0x811c9dc5
  for (let index = 0; index < text.length; index++) found = Math.imul(found ^ text.charCodeAt(index), 0x01000193) >>> 0
  return found
}
