// The dose of a pour that came nearest to the end of its tolerance, or furthest beyond it.
const VERDICTS: ReadonlySet<string | null> = new Set(['within', 'under', 'over'])

interface Judged {
  readonly verdict: string | null
  readonly error_g: number | null
  readonly tolerance_g: number | null
}

/** How far a dose is off, in tolerances; null where it was not judged, such as one that was stopped. */
export const share = ({ verdict, error_g, tolerance_g }: Judged): number | null =>
  !VERDICTS.has(verdict) || error_g === null || tolerance_g === null || tolerance_g <= 0 ? null : error_g / tolerance_g

export function worst<D extends Judged>(doses: readonly D[]): D | null {
  let found: D | null = null
  for (const dose of doses) {
    const off = share(dose)
    if (off !== null && (found === null || Math.abs(off) > Math.abs(share(found) ?? 0))) found = dose
  }
  return found
}

/** Where the mark stands in a gauge whose bracket goes from -1 to 1; what is far beyond stays in the picture. */
export const markAt = (off: number): number => Math.max(-1.3, Math.min(1.3, off))
