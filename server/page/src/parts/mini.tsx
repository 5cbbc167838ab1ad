// A drink as a small section of its glass: all that stand in one list are drawn to one scale.
import { iceRoom, layerLevels, radiusAt, type Shape } from './glass-geometry.ts'

export interface Section {
  readonly shape: Shape
  /** In the order of pouring. */
  readonly layers: readonly {
    readonly ml: number
    readonly g: number
    /** Null: nobody knows what it looks like. */
    readonly colour: string | null
  }[]
  readonly ice_g: number
}

const MARGIN_MM = 4

const at = (value: number) => Math.round(value * 10) / 10

/** The window onto a drawing that each of these glasses has room in. */
export function windowOf(shapes: readonly Shape[]): string {
  const half = at(Math.max(40, ...shapes.map(({ base, rim }) => Math.max(base, rim))) + MARGIN_MM)
  const height = at(Math.max(80, ...shapes.map(shape => shape.height)) + MARGIN_MM)
  return `${-half} ${-height} ${2 * half} ${height + MARGIN_MM}`
}

/** `section` null: not yet known, the place stays empty. */
export const Mini = ({ section, window }: { section: Section | null; window: string }) => (
  <svg class="mini" viewBox={window} aria-hidden="true">
    {section !== null && <Drawing {...section} />}
  </svg>
)

function Drawing({ shape, layers, ice_g }: Section) {
  const ml = layers.reduce((sum, layer) => sum + layer.ml, 0)
  const g = layers.reduce((sum, layer) => sum + layer.g, 0)
  const tops = layerLevels(shape, layers.map(layer => layer.ml), iceRoom(ice_g, g, ml))
  return (
    <>
      {layers.map(({ colour }, index) => {
        const [from, to] = [tops[index - 1] ?? 0, tops[index] ?? 0]
        const [low, high] = [at(radiusAt(shape, from)), at(radiusAt(shape, to))]
        return (
          <g key={index}>
            <path fill={colour ?? 'none'} d={`M${-low} ${at(-from)}H${low}L${high} ${at(-to)}H${-high}Z`} />
            <path class="g-edge" d={`M${-high} ${at(-to)}H${high}`} />
          </g>
        )
      })}
      <path class="g-wall" d={`M${-at(shape.rim)} ${-at(shape.height)}L${-at(shape.base)} 0H${at(shape.base)}L${at(shape.rim)} ${-at(shape.height)}`} />
    </>
  )
}
