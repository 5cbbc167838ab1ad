/** An id for the next bottle of its kind: `overture-1` is followed by `overture-2`, or the first number beyond that is free. */
export function nextId(before: string, taken: readonly string[]): string {
  const [, stem = before, digits] = /^(.*)-(\d+)$/.exec(before) ?? []
  let number = Number(digits ?? 0) + 1
  while (taken.includes(`${stem}-${number}`)) number++
  return `${stem}-${number}`
}
