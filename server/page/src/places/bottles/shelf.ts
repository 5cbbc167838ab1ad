// The shelf as it stands, of what the daemon tells: a slot for each channel, the bottles beside them, what runs out next.
import type { BottleView, ChannelOutlookView, LiquidView, ListedChannelView, OutlookView } from '../../api/schema.ts'

export interface Stock {
  readonly outlook: OutlookView
  readonly channels: readonly ListedChannelView[]
  readonly bottles: readonly BottleView[]
}

export interface Slot {
  readonly channel: ListedChannelView
  readonly liquid: LiquidView | undefined
  readonly bottle: BottleView | undefined
  readonly outlook: ChannelOutlookView | undefined
}

export type DrinksLeft = ChannelOutlookView['drinks'][number]

export function slotsOf({ outlook, channels, bottles }: Stock, liquids: readonly LiquidView[]): Slot[] {
  return channels.map(channel => ({
    channel,
    liquid: liquids.find(liquid => liquid.id === channel.liquid_id),
    bottle: bottles.find(bottle => bottle.channel === channel.number),
    outlook: outlook.channels.find(found => found.channel === channel.number),
  }))
}

/** The drink that a channel is the soonest too short for. */
export const fewest = (outlook: ChannelOutlookView | undefined): DrinksLeft | undefined =>
  (outlook?.drinks ?? []).reduce<DrinksLeft | undefined>(
    (least, drink) => (least === undefined || drink.count < least.count ? drink : least),
    undefined,
  )

/** What runs out first at the present pace; where nothing was poured lately, what is the shortest for a drink. */
export function runsOutNext(slots: readonly Slot[], first: number | null): Slot | undefined {
  const left = (slot: Slot) => fewest(slot.outlook)?.count ?? Infinity
  const shortest = slots
    .filter(slot => left(slot) < Infinity)
    .reduce<Slot | undefined>((least, slot) => (least === undefined || left(slot) < left(least) ? slot : least), undefined)
  if (shortest !== undefined && left(shortest) === 0) return shortest
  return slots.find(slot => slot.channel.number === first) ?? shortest
}

/** Bottles that stand on no channel; those of the liquid wanted first. */
export const spare = (bottles: readonly BottleView[], liquidId: string | null = null): BottleView[] =>
  bottles
    .filter(bottle => bottle.channel === null)
    .sort((a, b) => Number(b.liquid_id === liquidId) - Number(a.liquid_id === liquidId) || a.id.localeCompare(b.id))

export const volumeOf = (mass_g: number, liquid: LiquidView | undefined): number =>
  mass_g / (liquid?.serving_density_g_per_ml ?? 1)
