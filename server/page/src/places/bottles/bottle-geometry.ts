// A bottle in elevation on a stage of 60 by 150. Bottles up to a litre share one scale, so that twice the volume is
// twice the volume to the eye: lengths go with the cube root. What is larger has a canister's outline, not to scale.
export interface Elevation {
  /** The outline, as a path. */
  readonly outline: string
  /** The inside of the body: its left edge, its width, its height from the ground up to the shoulder. */
  readonly left: number
  readonly width: number
  readonly height: number
}

export const STAGE = { width: 60, height: 150 }
const GROUND = 149
const MIDDLE = STAGE.width / 2
const LITRE_ML = 1000
/** A litre by its label, the mass of which was rounded, is a bottle still. */
const LARGEST_ML = 1010
const LEAST_ML = 100

/** Of a bottle of a litre: half widths, and heights over the ground. */
const LITRE = { body: 15, neck: 4.8, shoulder: 94, neckFoot: 110, mouth: 127.8 }
const CANISTER = { outline: `M1 ${GROUND}V45L15.5 33V25H29.5V33L59 45V${GROUND}Z`, left: 1, width: 58, height: GROUND - 45 }

/** The elevation of a bottle that holds `full_ml` when it is full. */
export function elevationOf(full_ml: number): Elevation {
  if (full_ml > LARGEST_ML) return CANISTER
  const scale = Math.cbrt(Math.max(full_ml, LEAST_ML) / LITRE_ML)
  const x = (half: number) => round(MIDDLE + half * scale)
  const y = (over: number) => round(GROUND - over * scale)
  const { body, neck, shoulder, neckFoot, mouth } = LITRE
  const bend = shoulder + 11.2
  const outline =
    `M${x(-body)} ${GROUND}V${y(shoulder)}C${x(-body)} ${y(bend)} ${x(-neck)} ${y(bend - 3.2)} ${x(-neck)} ${y(neckFoot)}V${y(mouth)}` +
    `H${x(neck)}V${y(neckFoot)}C${x(neck)} ${y(bend - 3.2)} ${x(body)} ${y(bend)} ${x(body)} ${y(shoulder)}V${GROUND}Z`
  return { outline, left: x(-body), width: round(2 * body * scale), height: round(shoulder * scale) }
}

/** Where the liquid stands: `share` of a full bottle, which is filled to its shoulder. */
export const levelY = (elevation: Elevation, share: number): number =>
  round(GROUND - elevation.height * Math.min(1, Math.max(0, share)))

export const depth = (level: number): number => round(GROUND - level)

const round = (length: number) => Math.round(length * 10) / 10
