// The glass of this moment: what is in it by the records and the live reading, and what is to come.
import type { DrinkView, GlassView, LiquidView, PourView, RoundGlassView, RoundView } from '../../api/schema.ts'
import { duration, grams, millilitres } from '../../i18n/format.ts'
import { glassShown } from '../../live/glass-shown.ts'
import { pouredOf, type Reading } from '../../live/reading.ts'
import { shapeOf, someShape } from '../../parts/glass-geometry.ts'
import type { Layer, Picture } from '../../parts/glass.tsx'
import { t } from './messages.ts'
import type { Situation } from './situation.ts'

export interface Seen {
  readonly situation: Situation
  /** The pour under way, or that of the glass to be taken away; else null. */
  readonly pour: PourView | null
  /** The round under way, or that of the glass to be taken away; else null. */
  readonly round: RoundView | null
  readonly earlier: readonly PourView[]
  readonly reading: Reading | null
  readonly glasses: readonly GlassView[]
  readonly liquids: readonly LiquidView[]
  /** The drink of the order that waits, else null. */
  readonly plan: DrinkView | null
}

/** Null: there is nothing to draw. */
export function pictureOf(seen: Seen): Picture | null {
  if (seen.pour === null && seen.round === null && seen.plan === null) return null
  if (seen.pour !== null && seen.pour.purpose !== 'drink') return null
  const glass = glassOf(seen)
  const parts = partsOf(seen)
  const known = seen.reading !== null
  const layers = known ? parts.layers : []
  const all_ml = parts.layers.reduce((sum, layer) => sum + layer.ml, 0)
  const shape = glass === undefined ? someShape(all_ml) : shapeOf(glass)
  const empty = seen.plan !== null || (seen.situation.kind === 'await_glass' && !seen.situation.back)
  const contents = layers.filter(layer => layer.when !== 'later').map(layer => t('some_of', { amount: millilitres(layer.ml), liquid: layer.name }))
  const name = glass?.name ?? t('a_glass')
  const sentence = !known
    ? t('picture_unknown')
    : empty
      ? t('picture_wanted', { glass: name })
      : contents.length === 0
        ? t('picture_empty', { glass: name })
        : t('picture_holds', { glass: name, contents: new Intl.ListFormat(undefined, { type: 'conjunction' }).format(contents) })
  return {
    shape,
    layers,
    ice: known ? parts.ice : null,
    target: known && parts.target_g > 0 ? { ml: parts.target_ml, name: grams(parts.target_g), figures: t('target') } : null,
    ghost: !known || empty,
    jet: known && (seen.situation.kind === 'pouring' || seen.situation.kind === 'topping_up'),
    sentence,
    ...(shape.to_scale ? {} : { caption: t('not_to_scale') }),
  }
}

function glassOf({ round, pour, glasses, plan }: Seen): GlassView | undefined {
  const id = plan?.glass_id ?? glassShown(round, pour?.id)?.glass_id ?? pour?.recipe?.glass_id
  return glasses.find(glass => glass.id === id)
}

interface Parts {
  readonly layers: readonly Layer[]
  readonly ice: Picture['ice']
  readonly target_g: number
  readonly target_ml: number
}

function partsOf(seen: Seen): Parts {
  const { plan, liquids } = seen
  if (plan !== null) return partsOfGlass({ steps: plan.steps, now: 0, pours: [], underWay: false, liquids })
  return glassShown(seen.round, seen.pour?.id) === undefined ? partsOfPour(seen) : partsOfRound(seen)
}

/** What each dose of the pour under way has delivered, in g. */
const deliveredBy = (pour: PourView, reading: Reading | null): readonly number[] =>
  reading?.pour_id === pour.id ? (reading.delivered_g ?? []) : (pour.progress?.delivered_g ?? finalOf(pour))

const finalOf = (pour: PourView): readonly number[] => pour.doses.map(dose => dose.delivered_g ?? 0)

function partsOfPour({ pour, reading, liquids, situation }: Seen): Parts {
  if (pour === null) return { layers: [], ice: null, target_g: 0, target_ml: 0 }
  const delivered = deliveredBy(pour, reading)
  const layers = pour.doses.flatMap((dose, index): Layer[] => {
    const target_g = dose.rescaled_g ?? dose.target_g
    const now_g = delivered[index] ?? 0
    return layersOf({
      key: `${index}`,
      name: dose.liquid_name,
      colour: colourFor(dose.liquid_id, liquids),
      now_g,
      target_g,
      ml_per_g: 1 / dose.density_g_per_ml,
      live: index === delivered.length - 1 && situation.kind !== 'take_away',
    })
  })
  const target_ml = pour.doses.reduce((sum, dose) => sum + (dose.rescaled_g ?? dose.target_g) / dose.density_g_per_ml, 0)
  return { layers, ice: null, target_g: pour.target_g, target_ml }
}

/** Whether the glass that stands there is finished. */
export const isOver = (round: RoundView | null): boolean =>
  round?.progress == null || round.progress.step === 'awaiting_removal'

function partsOfRound({ round, pour, earlier, reading, liquids }: Seen): Parts {
  const glass = glassShown(round, pour?.id)
  if (glass === undefined) return { layers: [], ice: null, target_g: 0, target_ml: 0 }
  const underWay = pour !== null && !earlier.some(found => found.id === pour.id)
  return partsOfGlass({
    steps: glass.steps,
    now: isOver(round) ? Number.POSITIVE_INFINITY : (round?.progress?.leg ?? 1),
    pours: [...earlier.map(finalOf), ...(underWay ? [deliveredBy(pour, reading)] : [])],
    underWay,
    liquids,
  })
}

interface GlassSteps {
  readonly steps: RoundGlassView['steps']
  /** The leg under way, from 1; 0: none has begun. */
  readonly now: number
  /** What each dose has delivered, by pours. */
  readonly pours: readonly (readonly number[])[]
  readonly underWay: boolean
  readonly liquids: readonly LiquidView[]
}

function partsOfGlass({ steps, now, pours, underWay, liquids }: GlassSteps): Parts {
  const layers: Layer[] = []
  let ice: Picture['ice'] = null
  let [leg, runs, place, target_g, target_ml] = [0, 0, 0, 0, 0]
  steps.forEach((step, index) => {
    const before = steps[index - 1]
    if (step.kind === 'hand' || before?.kind !== 'dose') {
      leg += 1
      place = 0
      if (step.kind === 'dose') runs += 1
    }
    const done = leg < now
    if (step.kind === 'hand') {
      if (step.hand === 'ice') ice = { g: (ice?.g ?? 0) + step.mass_g, what: step.what, in: done }
      else if (step.volume_ml > 0)
        layers.push({
          key: `${index}`,
          ml: step.volume_ml,
          g: step.mass_g || step.volume_ml,
          colour: step.liquid_id === null ? null : colourFor(step.liquid_id, liquids),
          when: done ? 'in' : 'later',
          name: t('hand_amount', { what: step.what, amount: millilitres(step.volume_ml) }),
          figures: done ? t('by_hand') : t('by_hand_later'),
        })
      return
    }
    const pouredNow = pours[runs - 1]
    const now_g = pouredNow?.[place] ?? 0
    place += 1
    target_g += step.target_g
    target_ml += step.volume_ml
    layers.push(
      ...layersOf({
        key: `${index}`,
        name: liquids.find(liquid => liquid.id === step.liquid_id)?.name ?? step.liquid_id,
        colour: colourFor(step.liquid_id, liquids),
        now_g,
        target_g: step.target_g,
        ml_per_g: step.volume_ml / step.target_g,
        live: underWay && leg === now && place === (pouredNow?.length ?? 0),
      }),
    )
  })
  return { layers, ice, target_g, target_ml }
}

interface DosePart {
  readonly key: string
  readonly name: string
  readonly colour: string | null
  readonly now_g: number
  readonly target_g: number
  readonly ml_per_g: number
  readonly live: boolean
}

/** One layer: what is in; before a dose has begun, what is to come. */
function layersOf({ key, name, colour, now_g, target_g, ml_per_g, live }: DosePart): Layer[] {
  if (now_g <= 0 && !live)
    return [{ key, ml: target_g * ml_per_g, g: target_g, colour, when: 'later', name, figures: grams(target_g) }]
  const g = Math.max(0, now_g)
  const figures = t('of_grams', { now: grams(g), target: grams(target_g) })
  const goal = live ? { goal: { ml: Math.max(g, target_g) * ml_per_g, g: Math.max(g, target_g) } } : {}
  return [{ key, ml: g * ml_per_g, g, ...goal, colour, when: live ? 'live' : 'in', name, figures }]
}

const colourFor = (id: string, liquids: readonly LiquidView[]): string | null => liquids.find(liquid => liquid.id === id)?.shown_colour ?? null

/** The mass that stands large: what the pour has delivered, else all that is on the platform; null: none is live. */
export function massShown(reading: Reading | null, pour: PourView | null): { g: number; net: boolean } | null {
  if (reading === null) return null
  const poured = pour !== null && reading.pour_id === pour.id ? pouredOf(reading) : null
  return poured === null || reading.state === 'awaiting_glass' || reading.state === 'taring'
    ? { g: reading.gross_g, net: false }
    : { g: poured, net: true }
}

/** What comes after the doses of the glass under way, as a sentence; empty: nothing. */
export function thenOf(round: RoundView | null): string {
  const progress = round?.progress
  const glass = progress == null ? undefined : round?.glasses[progress.glass - 1]
  if (progress == null || glass === undefined) return ''
  if (progress.step === 'awaiting_removal') return t('then_glass', { drink: glass.name })
  let leg = 0
  for (const [index, step] of glass.steps.entries()) {
    if (step.kind === 'hand' || glass.steps[index - 1]?.kind !== 'dose') leg += 1
    if (leg > progress.leg && step.kind === 'hand') return t('then_by_hand', { what: step.what })
    if (leg > progress.leg) return ''
  }
  const next = round?.glasses[progress.glass]
  return next === undefined ? '' : t('then_glass', { drink: next.name })
}

/** How long the round still takes; empty where nobody knows. */
export function remainingOf(round: RoundView | null): string {
  const left_s = round?.progress?.remaining_s
  return left_s == null || left_s < 10 ? '' : t('about_to_end', { time: duration(Math.round(left_s / 10) * 10) })
}
