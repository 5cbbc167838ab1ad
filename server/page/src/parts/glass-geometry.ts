// A glass as a truncated cone: which level a volume reaches. Lengths inside the glass in mm, volumes in ml.
export interface Shape {
  readonly brim_ml: number
  readonly headroom_ml: number
  /** Radius at the base, radius at the rim, height. */
  readonly base: number
  readonly rim: number
  readonly height: number
  /** False: the glass was never measured, this is a cylinder as high as it is wide. */
  readonly to_scale: boolean
}

/** What is told of a glass; diameters and height inside in mm. */
export interface GlassFacts {
  readonly brim_ml: number
  readonly headroom_ml?: number
  readonly rim_mm?: number | null
  readonly base_mm?: number | null
  readonly height_mm?: number | null
}

const MM3_PER_ML = 1000
/** Ice at 0 °C, g/ml (IAPWS R10-06). */
const ICE_G_PER_ML = 0.9167
/** Ice that lies on the ground of too little liquid lets it rise by this many times its volume at most. */
const MAX_RISE = 1.6

export function shapeOf(glass: GlassFacts): Shape {
  const { brim_ml, headroom_ml = 0 } = glass
  if (glass.rim_mm != null && glass.base_mm != null && glass.height_mm != null)
    return { brim_ml, headroom_ml, base: glass.base_mm / 2, rim: glass.rim_mm / 2, height: glass.height_mm, to_scale: true }
  const radius = Math.cbrt((brim_ml * MM3_PER_ML) / (2 * Math.PI))
  return { brim_ml, headroom_ml, base: radius, rim: radius, height: 2 * radius, to_scale: false }
}

/** Of a drink whose recipe names no glass: one that it has room in. */
export const someShape = (volume_ml: number): Shape => shapeOf({ brim_ml: Math.max(320, Math.ceil((volume_ml * 1.2) / 100) * 100) })

export const radiusAt = (shape: Shape, level: number): number =>
  shape.base + ((shape.rim - shape.base) * level) / shape.height

export function volumeAt(shape: Shape, level: number): number {
  const r = radiusAt(shape, level)
  return ((Math.PI * level) / 3) * (shape.base ** 2 + shape.base * r + r ** 2) / MM3_PER_ML
}

/** The level of a volume, between the base and the height of the glass. */
export function levelAt(shape: Shape, volume_ml: number): number {
  const volume = Math.max(0, volume_ml) * MM3_PER_ML
  const widening = (shape.rim - shape.base) / shape.height
  const level =
    Math.abs(widening) < 1e-6
      ? volume / (Math.PI * shape.base ** 2)
      : (Math.cbrt(Math.max(0, shape.base ** 3 + (3 * volume * widening) / Math.PI)) - shape.base) / widening
  return Math.min(level, shape.height)
}

/** How far ice lets a drink rise, in ml: by docs/menu.md, and within what the liquid can do. */
export function iceRoom(ice_g: number, liquid_g: number, liquid_ml: number): number {
  if (liquid_ml <= 0) return 0
  const density = liquid_g / liquid_ml
  const room = density < ICE_G_PER_ML ? ice_g / ICE_G_PER_ML : ice_g / density
  return Math.min(room, MAX_RISE * liquid_ml)
}

/** The upper level of each layer, bottom up; the rise by ice is shared among them in proportion. */
export function layerLevels(shape: Shape, layers_ml: readonly number[], ice_ml: number): number[] {
  const liquid_ml = layers_ml.reduce((sum, ml) => sum + ml, 0)
  const share = liquid_ml > 0 ? (liquid_ml + ice_ml) / liquid_ml : 0
  let below_ml = 0
  return layers_ml.map(ml => levelAt(shape, (below_ml += ml) * share))
}

/** Marks every 50 ml below the brim. */
export function graduation(shape: Shape): { readonly ml: number; readonly level: number }[] {
  const marks = []
  for (let ml = 50; ml < shape.brim_ml * 0.97; ml += 50) marks.push({ ml, level: levelAt(shape, ml) })
  return marks
}

const WORDS = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten']

/** How many cubes the text of a step begins with; without a number, one for each 20 g. */
export function cubeCount(what: string, ice_g: number): number {
  const first = what.trim().split(/\s+/)[0]?.toLowerCase() ?? ''
  const told = /^\d+$/.test(first) ? Number(first) : WORDS.indexOf(first) + 1
  return Math.max(1, told > 0 ? told : Math.round(ice_g / 20))
}

/** The edge of one cube in mm. */
export const cubeEdge = (ice_g: number, count: number): number => 10 * Math.cbrt(ice_g / count / ICE_G_PER_ML)

/** Pushes places on a line apart to `gap`, in their order, within `from` and `to` where there is room. */
export function spread(places: readonly number[], gap: number, from: number, to: number): number[] {
  const order = places.map((_, index) => index).sort((a, b) => (places[a] ?? 0) - (places[b] ?? 0) || b - a)
  const room = Math.max(to, from + gap * (order.length - 1))
  const found = [...places]
  order.forEach((index, rank) => {
    const before = order[rank - 1]
    const least = before === undefined ? from : (found[before] ?? from) + gap
    found[index] = Math.max(found[index] ?? from, least)
  })
  let limit = room
  for (const index of [...order].reverse()) {
    found[index] = Math.min(found[index] ?? limit, limit)
    limit = (found[index] ?? limit) - gap
  }
  return found
}
