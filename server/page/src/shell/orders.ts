// What the operator orders from every place: stop, emergency stop and its release.
import { computed, signal } from '@preact/signals'
import { post, Refusal } from '../api/api.ts'
import { machine, pour, refresh, round } from '../live/bar.ts'
import { reading } from '../live/live.ts'
import { refusal, refused } from './refused.ts'

/** The step of the pour under way, the newest that is known; null: there is none. */
export const pourStep = computed<string | null>(() => {
  const id = machine.value?.pour_id ?? null
  if (id === null) return null
  if (reading.value?.pour_id === id && reading.value.state !== null) return reading.value.state
  return pour.value?.id === id ? (pour.value.progress?.step ?? null) : null
})

/** The step of the round under way; null: there is none. */
const roundStep = computed<string | null>(() =>
  (machine.value?.round_id ?? null) === null ? null : (round.value?.progress?.step ?? null),
)

const AT_REST = new Set(['held', 'stopped', 'aborted', 'complete'])

/** Whether a pump may turn, now or without anybody pressing anything. */
export const mayTurn = computed<boolean>(() => {
  if (machine.value === null || machine.value.latched) return false
  if (machine.value.pour_id !== null) return pourStep.value === null || !AT_REST.has(pourStep.value)
  return roundStep.value === 'awaiting_glass' && round.value?.auto_start === true
})

export const isHeld = computed<boolean>(() =>
  machine.value?.pour_id != null ? pourStep.value === 'held' : roundStep.value === 'held',
)

/** Stop was ordered, and the board has not yet said that the pump is off. */
export const stopping = computed<boolean>(
  () => stopSent.value || ['holding', 'stopping', 'aborting'].includes(pourStep.value ?? ''),
)
const stopSent = signal(false)

/** Holds what is under way; where its state takes no hold, stops it. */
export async function stop(): Promise<void> {
  if (!mayTurn.value || stopSent.value) return
  refusal.value = null
  stopSent.value = true
  try {
    await give('hold').catch(error => {
      if (error instanceof Refusal && error.problem.type === '/problems/command-not-possible') return give('stop')
      throw error
    })
  } catch (error) {
    refused(error)
  } finally {
    refresh()
    stopSent.value = false
  }
}

export type Command = 'hold' | 'restart' | 'stop' | 'skip' | 'start'

/** A command to the round under way, else to the pour. */
export async function give(command: Command): Promise<void> {
  const roundId = machine.value?.round_id ?? null
  const pourId = machine.value?.pour_id ?? null
  refusal.value = null
  if (roundId !== null) await post(`/v1/rounds/{round_id}/${command}`, { at: { round_id: roundId } })
  else if (pourId !== null && command !== 'skip' && command !== 'start')
    await post(`/v1/pours/{pour_id}/${command}`, { at: { pour_id: pourId } })
  refresh()
}

export async function emergencyStop(): Promise<void> {
  refusal.value = null
  await post('/v1/machine/emergency-stop').catch(refused)
  refresh()
}

export async function releaseStop(): Promise<void> {
  refusal.value = null
  await post('/v1/machine/release')
  refresh()
}

/** Esc stops, from everywhere, also from a field or an open list. */
export function stopOnEscape(): void {
  addEventListener(
    'keydown',
    event => {
      if (event.key !== 'Escape' || event.repeat || !mayTurn.value) return
      event.preventDefault()
      void stop()
    },
    { capture: true },
  )
}
