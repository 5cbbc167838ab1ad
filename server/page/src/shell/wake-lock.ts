// The screen stays on while something is under way; where the browser refuses that, nothing is said.
import { computed, effect } from '@preact/signals'
import { machine } from '../live/bar.ts'

const isBusy = computed(() => machine.value !== null && (machine.value.pour_id !== null || machine.value.round_id !== null))

export function stayAwake(): void {
  let lock: WakeLockSentinel | null = null
  const update = async () => {
    try {
      if (isBusy.peek() && !document.hidden && (lock === null || lock.released)) lock = await navigator.wakeLock.request('screen')
      else if (!isBusy.peek()) await lock?.release()
    } catch {
      lock = null
    }
  }
  // one after the other: of two locks that were asked for at a time, one would never be given back
  let last = Promise.resolve()
  const next = () => void (last = last.then(update))
  effect(() => void (isBusy.value, next()))
  document.addEventListener('visibilitychange', next)
}
