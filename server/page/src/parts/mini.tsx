// A drink as a small section of its glass: all of them to one scale.
import type { GlassView, LiquidView, DrinkView } from '../../api/schema.ts'
import { colourOf } from '../../parts/colour.ts'
import { iceRoom, layerLevels, radiusAt, shapeOf, type Shape } from '../../parts/glass-geometry.ts'

const MARGIN_MM = 4

const at = (value: number) => Math.round(value * 10) / 10

const reach = (shape: Shape) => Math.max(shape.base, shape.rim)

/** The window onto a drawing that every glass has room in. */
function windowOf(glasses: readonly GlassView[]): string {
  const shapes = glasses.map(shapeOf)
  const half = at(Math.max(40, ...shapes.map(reach)) + MARGIN_MM)
  const height = at(Math.max(80, ...shapes.map(shape => shape.height)) + MARGIN_MM)
  return `${-half} ${-height} ${2 * half} ${height + MARGIN_MM}`
}

interface Props {
  /** Undefined: not yet known, the place stays empty. */
  readonly plan: DrinkView | undefined
  readonly glasses: readonly GlassView[]
  readonly liquids: readonly LiquidView[]
}

export const Mini = ({ plan, glasses, liquids }: Props) => (
  <svg class="mini" viewBox={windowOf(glasses)} aria-hidden="true">
    {plan !== undefined && <Section plan={plan} glasses={glasses} liquids={liquids} />}
  </svg>
)

function Section({ plan, glasses, liquids }: Props & { readonly plan: DrinkView }) {
  const shape = shapeOf(glasses.find(glass => glass.id === plan.glass_id) ?? { brim_ml: Math.max(320, plan.volume_ml * 1.2) })
  const parts = plan.steps.flatMap(step => {
    if (step.kind === 'dose') return [{ id: step.liquid_id, ml: step.volume_ml, g: step.target_g }]
    return step.hand === 'ice' || step.volume_ml <= 0 ? [] : [{ id: step.liquid_id, ml: step.volume_ml, g: step.mass_g }]
  })
  const ice_g = plan.steps.reduce((sum, step) => sum + (step.kind === 'hand' && step.hand === 'ice' ? step.mass_g : 0), 0)
  const ml = parts.reduce((sum, part) => sum + part.ml, 0)
  const g = parts.reduce((sum, part) => sum + part.g, 0)
  const tops = layerLevels(shape, parts.map(part => part.ml), iceRoom(ice_g, g, ml))
  const ids = parts.flatMap(part => (part.id === null ? [] : [part.id]))
  const colour = (id: string | null) =>
    id === null ? 'none' : (liquids.find(liquid => liquid.id === id)?.colour ?? colourOf(id, ids))
  return (
    <>
      {parts.map((part, index) => {
        const [from, to] = [tops[index - 1] ?? 0, tops[index] ?? 0]
        const [low, high] = [at(radiusAt(shape, from)), at(radiusAt(shape, to))]
        return (
          <g key={index}>
            <path fill={colour(part.id)} d={`M${-low} ${at(-from)}H${low}L${high} ${at(-to)}H${-high}Z`} />
            <path class="g-edge" d={`M${-high} ${at(-to)}H${high}`} />
          </g>
        )
      })}
      <path class="g-wall" d={`M${-at(shape.rim)} ${-at(shape.height)}L${-at(shape.base)} 0H${at(shape.base)}L${at(shape.rim)} ${-at(shape.height)}`} />
    </>
  )
}
