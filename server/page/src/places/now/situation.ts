// What the machine does this moment, as one of a few situations: the sentence, the picture and the buttons follow.
import type { ActiveAlarmView, AlarmView, MachineView, PlannedHandView, PourView, RoundView } from '../../api/schema.ts'
import type { Reading } from '../../live/reading.ts'
import type { Reach } from '../../live/reach.ts'
import type { Offer } from './next-order.ts'

export interface Known {
  readonly reach: Reach
  readonly machine: MachineView | null
  /** The pour under way, else the last one. */
  readonly pour: PourView | null
  /** The round under way, else the last one. */
  readonly round: RoundView | null
  /** Null: none is live. */
  readonly reading: Reading | null
  /** The step of the pour under way, the newest that is known. */
  readonly step: string | null
  /** Stop was ordered and is not yet confirmed. */
  readonly stopping: boolean
  /** The orders that wait; null: none, or not yet known. */
  readonly offer: Offer | null
}

export type Situation =
  | { readonly kind: 'cut_off' | 'asking' | 'latched' | 'no_board' | 'uncalibrated' | 'idle' }
  | { readonly kind: 'held'; readonly alarm: AlarmView | null; readonly why: string; readonly inRound: boolean }
  | { readonly kind: 'alarm'; readonly alarm: ActiveAlarmView }
  | { readonly kind: 'blocked'; readonly blockers: readonly string[] }
  | { readonly kind: 'order_waiting'; readonly offer: Offer }
  | { readonly kind: 'take_away'; readonly ready: Ready | null }
  | { readonly kind: 'await_release'; readonly guest: string; readonly why: string }
  | { readonly kind: 'await_glass'; readonly glassId: string | null; readonly back: boolean; readonly wrong: string }
  | { readonly kind: 'glass_ready' }
  | { readonly kind: 'by_hand'; readonly hand: PlannedHandView; readonly glass: number; readonly leg: number }
  | { readonly kind: 'taring' | 'settling' | 'restarting' | 'stopping' }
  | { readonly kind: 'pouring' | 'topping_up'; readonly liquid: string }

/** A drink that may be taken away. */
export interface Ready {
  readonly drink: string
  readonly guest: string | null
  readonly delivered_g: number
  readonly target_g: number
  readonly verdict: 'within' | 'under' | 'over' | null
}

const SHOWN = new Set(['stop', 'abort', 'hold'])

export function situationOf(known: Known): Situation {
  const { reach, machine, reading } = known
  if (reach === 'cut_off') return { kind: 'cut_off' }
  if (reach === 'asking' || machine === null) return { kind: 'asking' }
  if (machine.latched) return { kind: 'latched' }
  if (machine.link.state !== 'open') return { kind: 'no_board' }
  if (!machine.calibrated) return { kind: 'uncalibrated' }
  if (reading === null) return { kind: 'asking' }
  if (machine.pour_id !== null) return inPour(known)
  if (machine.round_id !== null && known.round?.progress != null) return inRound(known.round, known.pour)
  const alarm = machine.alarms.find(found => SHOWN.has(found.reaction) && found.state === 'unacknowledged')
  if (alarm !== undefined) return { kind: 'alarm', alarm }
  const ready = readyOf(known.pour, known.round, reading)
  if (ready !== null) return { kind: 'take_away', ready }
  if (machine.blockers.length > 0) return { kind: 'blocked', blockers: machine.blockers }
  return known.offer === null ? { kind: 'idle' } : { kind: 'order_waiting', offer: known.offer }
}

function inPour({ machine, pour, round, step, stopping }: Known): Situation {
  const shown = pour?.id === machine?.pour_id ? pour : null
  if (stopping && step !== 'held') return { kind: 'stopping' }
  switch (step) {
    case 'awaiting_glass':
      return { kind: 'await_glass', glassId: shown?.recipe?.glass_id ?? null, back: (shown?.progress?.dose ?? 0) > 0, wrong: '' }
    case 'taring':
    case 'settling':
    case 'restarting':
      return { kind: step }
    case 'held':
      return { kind: 'held', alarm: shown?.progress?.alarm ?? null, why: '', inRound: machine?.round_id !== null && round !== null }
    case 'coarse_feed':
    case 'fine_feed':
    case 'jog_feed': {
      const liquid = shown?.doses[shown.progress?.dose ?? 0]?.liquid_name ?? ''
      return { kind: step === 'jog_feed' ? 'topping_up' : 'pouring', liquid }
    }
    case 'holding':
    case 'stopping':
    case 'aborting':
      return { kind: 'stopping' }
    default:
      return { kind: 'settling' }
  }
}

function inRound(round: RoundView, pour: PourView | null): Situation {
  const progress = round.progress
  if (progress === null) return { kind: 'idle' }
  const glass = round.glasses[progress.glass - 1]
  switch (progress.step) {
    case 'awaiting_removal':
      return { kind: 'take_away', ready: readyGlass(round, pour) }
    case 'awaiting_release':
      return { kind: 'await_release', guest: glass?.guest ?? '', why: progress.detail }
    case 'awaiting_glass':
      return { kind: 'await_glass', glassId: glass?.glass_id ?? null, back: progress.leg > 1, wrong: progress.detail }
    case 'glass_ready':
      return { kind: 'glass_ready' }
    case 'by_hand':
      return progress.hand === null
        ? { kind: 'settling' }
        : { kind: 'by_hand', hand: progress.hand, glass: progress.glass, leg: progress.leg }
    case 'held':
      return { kind: 'held', alarm: null, why: progress.detail, inRound: true }
    case 'skipping':
    case 'holding':
    case 'stopping':
      return { kind: 'stopping' }
    default:
      return { kind: 'settling' }
  }
}

/** The glass of the last pour, while the scale still bears it. */
function readyOf(pour: PourView | null, round: RoundView | null, reading: Reading): Ready | null {
  if (pour?.state !== 'complete' || pour.purpose !== 'drink' || pour.glass_g === null) return null
  const delivered_g = pour.delivered_g ?? 0
  if (reading.gross_g < pour.glass_g + delivered_g / 2) return null
  return readyGlass(round, pour)
}

function readyGlass(round: RoundView | null, pour: PourView | null): Ready | null {
  if (pour?.delivered_g == null) return null
  const glass = round?.glasses.find(found => found.pours.includes(`/v1/pours/${pour.id}`))
  const verdicts = pour.doses.map(dose => dose.verdict)
  const worst = verdicts.find(verdict => verdict === 'under' || verdict === 'over') ?? verdicts[0] ?? null
  return {
    drink: pour.recipe?.name ?? glass?.name ?? '',
    guest: glass?.guest ?? null,
    delivered_g: pour.delivered_g,
    target_g: pour.doses.reduce((sum, dose) => sum + (dose.rescaled_g ?? dose.target_g), 0),
    verdict: worst as Ready['verdict'],
  }
}
