// A button that may start something. Wet glass makes stray touches: the press takes 80 ms at the least, begins and ends
// on the button, and a second finger cancels it. Until the daemon has answered, further presses are ignored.
import { useSignal } from '@preact/signals'
import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { unsent } from '../api/api.ts'
import { heardLately } from '../live/bar.ts'
import { refused } from '../shell/refused.ts'

const PRESS_MS = 80

interface Props {
  readonly class?: string
  /** Orders it; the button waits until that is settled, and tells what was refused. */
  readonly order: () => Promise<unknown>
  /** What the button says meanwhile. */
  readonly doing: string
  readonly children: ComponentChildren
}

export function StartButton({ order, doing, children, ...rest }: Props) {
  const busy = useSignal(false)
  const downMs = useRef<number | null>(null)
  useEffect(() => {
    const second = (event: PointerEvent) => event.isPrimary || (downMs.current = null)
    addEventListener('pointerdown', second)
    return () => removeEventListener('pointerdown', second)
  }, [])
  const click = async (event: MouseEvent) => {
    const byKey = event.detail === 0
    const pressed = downMs.current !== null && event.timeStamp - downMs.current >= PRESS_MS
    downMs.current = null
    if (busy.value || !(byKey || pressed)) return
    if (!heardLately()) return refused(unsent())
    busy.value = true
    try {
      await order()
    } catch (error) {
      refused(error)
    } finally {
      busy.value = false
    }
  }
  return (
    <button
      type="button"
      {...rest}
      aria-disabled={busy.value}
      onPointerDown={event => (downMs.current = event.isPrimary ? event.timeStamp : null)}
      onPointerCancel={() => (downMs.current = null)}
      onClick={event => void click(event)}
    >
      {busy.value ? doing : children}
    </button>
  )
}
