// The glass in elevation, inside drawn to scale: layers in the order of pouring, ice, target, what is yet to come.
import { cubeCount, cubeEdge, graduation, iceRoom, layerLevels, levelAt, radiusAt, spread, type Shape } from './glass-geometry.ts'

export interface Layer {
  readonly key: string
  /** Volume and mass that are in the glass, or are to come. */
  readonly ml: number
  readonly g: number
  /** What it comes to, where it is not all in yet. */
  readonly goal?: { readonly ml: number; readonly g: number }
  /** Null: nobody knows what it looks like, it is hatched. */
  readonly colour: string | null
  readonly when: 'in' | 'live' | 'later'
  readonly name: string
  readonly figures: string
}

export interface Picture {
  readonly shape: Shape
  /** Bottom up, what is in first. */
  readonly layers: readonly Layer[]
  /** `in`: it is in the glass, not only to come. */
  readonly ice: { readonly g: number; readonly what: string; readonly in: boolean } | null
  /** What the doses of this glass add up to, in ml, and how it is written. */
  readonly target: { readonly ml: number; readonly name: string; readonly figures: string; readonly band_ml?: number } | null
  /** The line up to which it may be filled, the brim less its headroom; what stands higher is hatched. */
  readonly fill?: { readonly name: string; readonly figures: string }
  /** Only the outline: no glass is known to stand there. */
  readonly ghost: boolean
  /** Liquid falls from the nozzle now. */
  readonly jet: boolean
  readonly sentence: string
  readonly caption?: string
}

const WALL = 2.2
const GROUND = 8
const ROOM = 12
const LINE_MM = 11.5
/** Where cubes lie: across (of the free half width), down (of the edge), turned by degrees. */
const CUBES: readonly (readonly [number, number, number])[] = [[-0.9, 0, -8], [0.85, 0.02, 11], [-0.05, 0.58, 4], [0.7, 0.98, -6], [-0.8, 1.0, 9], [0.05, 1.5, -3]]

const at = (value: number) => Math.round(value * 10) / 10

export function Glass({ picture }: { picture: Picture }) {
  const { shape, layers } = picture
  const inside = layers.filter(layer => layer.when !== 'later')
  const later = layers.filter(layer => layer.when === 'later')
  const ml = (of: readonly Layer[]) => of.reduce((sum, layer) => sum + layer.ml, 0)
  const mass = (of: readonly Layer[]) => of.reduce((sum, layer) => sum + layer.g, 0)
  const ice_g = picture.ice?.g ?? 0
  const iceIn_g = picture.ice?.in === true ? ice_g : 0
  const rise = (all_ml: number, all_g: number) => all_ml + iceRoom(ice_g, all_g, all_ml)
  const tops = layerLevels(shape, inside.map(layer => layer.ml), iceRoom(iceIn_g, mass(inside), ml(inside)))
  const surface = tops.at(-1) ?? 0
  const laterLevels = later.map((_, index) => {
    const all = [...inside, ...later.slice(0, index + 1)].map(layer => layer.goal ?? layer)
    const [all_ml, all_g] = all.reduce(([sum_ml, sum_g], part) => [sum_ml + part.ml, sum_g + part.g], [0, 0] as [number, number])
    return levelAt(shape, rise(all_ml, all_g))
  })
  const density = ml(layers) > 0 ? mass(layers) / ml(layers) : 1
  const target = picture.target === null ? null : levelAt(shape, rise(picture.target.ml, picture.target.ml * density))
  const fill = picture.fill === undefined ? null : levelAt(shape, shape.brim_ml - shape.headroom_ml)

  const outer = Math.max(shape.rim, shape.base) + WALL
  const width = 2 * outer + 2 * ROOM + 1
  const height = shape.height + GROUND + 2 * ROOM - 6
  const top = -(shape.height + 10)
  const labels = [
    ...later.map((layer, index) => ({ key: layer.key, level: laterLevels[index] ?? 0, name: layer.name, figures: layer.figures, class: 'later' })),
    ...(picture.target === null || target === null ? [] : [{ key: 'target', level: target, name: picture.target.name, figures: picture.target.figures, class: 'tg' }]),
    ...(picture.fill === undefined || fill === null ? [] : [{ key: 'fill', level: fill, ...picture.fill, class: fill < surface ? 'over' : 'later' }]),
    ...inside.map((layer, index) => ({
      key: layer.key,
      level: ((tops[index - 1] ?? 0) + (tops[index] ?? 0)) / 2,
      name: layer.name,
      figures: layer.figures,
      class: layer.when === 'live' ? 'live' : '',
    })),
  ].sort((a, b) => b.level - a.level)
  const places = spread(labels.map(label => -label.level - top), LINE_MM, LINE_MM / 2, height - LINE_MM / 2)

  return (
    <div class="pic" style={{ '--w': at(width), '--h': at(height), '--s': at(Math.min(1, 95 / shape.height) * 100) / 100 }}>
      <svg viewBox={`${at(-outer - ROOM)} ${at(top)} ${at(width)} ${at(height)}`} role="img" aria-label={picture.sentence}>
        <defs>
          <pattern id="hatch" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <path class="g-hatch" d="M0 0V4" />
          </pattern>
          <pattern id="over" width="3" height="3" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">
            <path class="g-too-much" d="M0 0V3" />
          </pattern>
        </defs>
        {inside.map((layer, index) => (
          <Slice key={layer.key} shape={shape} from={tops[index - 1] ?? 0} to={tops[index] ?? 0} colour={layer.colour} />
        ))}
        {picture.jet && <Jet from={top} to={-surface} colour={layers.find(layer => layer.when === 'live')?.colour ?? null} />}
        {picture.ice !== null && iceIn_g > 0 && <Ice shape={shape} surface={surface} ice_g={ice_g} what={picture.ice.what} />}
        {surface > 0 && <path class="g-top" d={across(shape, surface)} />}
        <Walls shape={shape} ghost={picture.ghost} />
        {graduation(shape).map(mark => (
          <Tick key={mark.ml} x={-radiusAt(shape, mark.level) - WALL - 0.5} level={mark.level} ml={mark.ml} />
        ))}
        {fill !== null && surface > fill && <path class="g-over" fill="url(#over)" d={between(shape, fill, surface)} />}
        {fill !== null && <path class="g-later" d={across(shape, fill)} />}
        {laterLevels.map((level, index) => (
          <path key={later[index]?.key} class="g-later" d={across(shape, level)} />
        ))}
        {target !== null && <Target shape={shape} level={target} band={bandOf(picture, target)} />}
        <path class="g-pan" d={`M${at(-outer - 8)} 9.6H${at(outer + ROOM)}`} />
        {labels.map((label, index) => (
          <path
            key={label.key}
            class="g-lead"
            d={`M${at(radiusAt(shape, label.level) + (label.class === '' || label.class === 'live' ? -5 : WALL + 1))} ${at(-label.level)}H${at(outer + 2)}L${at(outer + ROOM - 0.5)} ${at((places[index] ?? 0) + top)}`}
          />
        ))}
      </svg>
      <ol class="notes">
        {labels.map((label, index) => (
          <li key={label.key} class={label.class} style={{ '--y': at(places[index] ?? 0) }}>
            <span class="n">{label.name}</span>
            <span class="v">{label.figures}</span>
          </li>
        ))}
      </ol>
      {picture.caption !== undefined && <p class="small cap">{picture.caption}</p>}
    </div>
  )
}

const across = (shape: Shape, level: number): string => {
  const r = at(radiusAt(shape, level))
  return `M${-r} ${at(-level)}H${r}`
}

function between(shape: Shape, from: number, to: number): string {
  const [low, high] = [at(radiusAt(shape, from)), at(radiusAt(shape, to))]
  return `M${-low} ${at(-from)}H${low}L${high} ${at(-to)}H${-high}Z`
}

const Slice = ({ shape, from, to, colour }: { shape: Shape; from: number; to: number; colour: string | null }) => (
  <>
    <path fill={colour ?? 'url(#hatch)'} d={between(shape, from, to)} />
    <path class="g-edge" d={across(shape, to)} />
  </>
)

const Jet = ({ from, to, colour }: { from: number; to: number; colour: string | null }) => (
  <path class="g-jet" stroke={colour ?? 'currentColor'} d={`M0 ${at(from)}V${at(to)}`} />
)

function Ice({ shape, surface, ice_g, what }: { shape: Shape; surface: number; ice_g: number; what: string }) {
  const count = Math.min(cubeCount(what, ice_g), CUBES.length)
  const edge = cubeEdge(ice_g, cubeCount(what, ice_g))
  const free = Math.max(0, radiusAt(shape, 0) - edge * 0.62)
  return (
    <>
      {CUBES.slice(0, count).map(([x, down, turn]) => {
        const y = Math.max(edge * 0.57, surface + edge * 0.08 - edge / 2 - down * edge)
        return (
          <rect
            key={x}
            class="g-ice"
            x={at(-edge / 2)}
            y={at(-edge / 2)}
            width={at(edge)}
            height={at(edge)}
            rx={at(edge * 0.13)}
            transform={`translate(${at(x * free)} ${at(-y)}) rotate(${turn})`}
          />
        )
      })}
    </>
  )
}

function Walls({ shape, ghost }: { shape: Shape; ghost: boolean }) {
  const { base, rim, height } = shape
  const [b, r] = [at(base + WALL), at(rim + WALL)]
  if (ghost) return <path class="g-ghost" d={`M${-r} ${-at(height)}L${-b} ${GROUND}H${b}L${r} ${-at(height)}`} />
  const inner = `M${-at(rim)} ${-at(height)}L${-at(base)} 0H${at(base)}L${at(rim)} ${-at(height)}`
  return <path class="g-wall" d={`${inner}H${r}L${b} ${GROUND}H${-b}L${-r} ${-at(height)}Z`} />
}

const Tick = ({ x, level, ml }: { x: number; level: number; ml: number }) => (
  <>
    <path class="g-grad" d={`M${at(x)} ${at(-level)}h${ml % 100 === 0 ? -4 : -2}`} />
    {ml % 100 === 0 && (
      <text x={at(x - 5)} y={at(-level + 1.4)} text-anchor="end" aria-hidden="true">
        {ml}
      </text>
    )}
  </>
)

interface Band {
  readonly low: number
  readonly high: number
}

function bandOf(picture: Picture, level: number): Band | null {
  const half_ml = picture.target?.band_ml
  if (half_ml === undefined) return null
  const mm = Math.max(0.6, (half_ml * 1000) / (Math.PI * radiusAt(picture.shape, level) ** 2))
  return { low: level - mm, high: Math.min(level + mm, picture.shape.height) }
}

function Target({ shape, level, band }: { shape: Shape; level: number; band: Band | null }) {
  const r = radiusAt(shape, level)
  const y = at(-level)
  return (
    <>
      {band !== null && <path class="g-band" d={`M${at(-r)} ${at(-band.low)}H${at(r)}V${at(-band.high)}H${at(-r)}Z`} />}
      <path class="g-target" d={`M${at(-r - 1)} ${y}H${at(-r + 7)}M${at(r - 7)} ${y}H${at(r + 1)}`} />
    </>
  )
}
