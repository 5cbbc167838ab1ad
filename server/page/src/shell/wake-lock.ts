// The screen stays on while something is under way; where the browser refuses that, nothing is said.
import { effect } from '@preact/signals'
import { machine } from '../live/bar.ts'

export function stayAwake(): void {
  let lock: WakeLockSentinel | null = null
  const update = async () => {
    const busy = machine.value !== null && (machine.value.pour_id !== null || machine.value.round_id !== null)
    try {
      if (busy && !document.hidden && (lock === null || lock.released)) lock = await navigator.wakeLock.request('screen')
      else if (!busy && lock !== null) {
        await lock.release()
        lock = null
      }
    } catch {
      lock = null
    }
  }
  effect(() => void (machine.value, update()))
  document.addEventListener('visibilitychange', () => void update())
}
