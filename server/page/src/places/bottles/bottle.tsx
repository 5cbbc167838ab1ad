// A bottle in elevation: its level true to its content, a tick at the low mark.
import type { BottleView, LiquidView } from '../../api/schema.ts'
import { depth, elevationOf, levelY, STAGE } from './bottle-geometry.ts'
import { volumeOf } from './shelf.ts'

export function Bottle({ bottle, liquid }: { bottle: BottleView; liquid: LiquidView | undefined }) {
  const shape = elevationOf(volumeOf(bottle.full_g, liquid))
  const level = levelY(shape, bottle.content_g / bottle.full_g)
  const low = levelY(shape, bottle.low_g / bottle.full_g)
  return (
    <svg viewBox={`0 0 ${STAGE.width} ${STAGE.height}`} preserveAspectRatio="xMidYMax meet" aria-hidden="true">
      {bottle.content_g > 0 && (
        <>
          <rect x={shape.left} y={level} width={shape.width} height={depth(level)} fill={liquid?.shown_colour ?? 'none'} />
          <path class="g-top" d={`M${shape.left} ${level}h${shape.width}`} />
        </>
      )}
      <path class="g-target" d={`M${shape.left - 5} ${low}h8`} />
      <path class="b-out" d={shape.outline} />
    </svg>
  )
}
