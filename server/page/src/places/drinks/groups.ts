// The menu in three parts, and where the cure of a drink that cannot be poured is found.
import type { DrinkView, MenuEntryView } from '../../api/schema.ts'

interface Groups {
  /** Every liquid of these is known to have no alcohol. */
  readonly without_alcohol: readonly MenuEntryView[]
  readonly with_alcohol: readonly MenuEntryView[]
  readonly not_now: readonly MenuEntryView[]
}

export const isFree = (drink: MenuEntryView): boolean => drink.strength_known && drink.ethanol_g === 0

export function groupsOf(drinks: readonly MenuEntryView[]): Groups {
  const possible = drinks.filter(drink => drink.possible)
  return {
    without_alcohol: possible.filter(isFree),
    with_alcohol: possible.filter(drink => !isFree(drink)),
    not_now: drinks.filter(drink => !drink.possible),
  }
}

export type Cure = 'bottles' | 'channels' | 'liquids' | 'glasses' | 'recipe'

const CURES: Readonly<Record<string, Cure>> = {
  not_on_a_channel: 'bottles',
  no_bottle: 'bottles',
  bottle_low: 'bottles',
  tube_holds_another: 'channels',
  needs_maintenance: 'channels',
  liquid_unknown: 'liquids',
  liquid_retired: 'liquids',
  liquid_faulty: 'liquids',
  strength_unknown: 'liquids',
  glass_unknown: 'glasses',
  glass_retired: 'glasses',
  glass_too_small: 'glasses',
}

/** Where to go for the first reason; what no other place cures is a matter of the recipe. A bottle that is low or
 * missing on a channel is swapped there: `plan` tells which. */
export function cureOf(drink: MenuEntryView, plan?: DrinkView): { readonly cure: Cure; readonly href: string; readonly channel: number | null } {
  const blocker = drink.blockers[0]
  const cure = CURES[blocker?.code ?? ''] ?? 'recipe'
  if (cure === 'recipe') return { cure, href: `/setup/recipes/${drink.recipe_id}`, channel: null }
  if (cure !== 'bottles') return { cure, href: `/setup/${cure}`, channel: null }
  const step = plan?.steps[blocker?.step ?? -1]
  const channel = step?.kind === 'dose' ? step.channel : null
  return { cure, href: channel === null ? '/bottles' : `/bottles?swap=${channel}`, channel }
}
