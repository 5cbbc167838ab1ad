// Which glass of a round stands on the platform.
import type { RoundGlassView, RoundView } from '../api/schema.ts'

/** Its present glass; while that waits for the one before to be taken away, and after the end, the glass of the last
 * pour. */
export function glassShown(round: RoundView | null, lastPourId: string | undefined): RoundGlassView | undefined {
  if (round === null) return undefined
  if (round.progress !== null && round.progress.step !== 'awaiting_removal') return round.glasses[round.progress.glass - 1]
  return round.glasses.find(glass => glass.pours.includes(`/v1/pours/${lastPourId}`))
}
