// A button that is held for 2 s. By keyboard or a switch it is pressed, and asks for 10 s whether it is meant.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { refused } from '../shell/refused.ts'

const HOLD_MS = 2000
const ASKED_MS = 10_000

interface Props {
  readonly label: string
  readonly question: string
  readonly order: () => Promise<unknown>
}

export function HoldButton({ label, question, order }: Props) {
  const asked = useSignal(false)
  const held = useSignal(false)
  const busy = useRef(false)
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  const give = () => {
    clearTimeout(timer.current)
    asked.value = held.value = false
    if (busy.current) return
    busy.current = true
    order()
      .catch(refused)
      .finally(() => (busy.current = false))
  }
  const begin = (event: PointerEvent) => {
    if (!event.isPrimary) return end()
    clearTimeout(timer.current)
    asked.value = false
    held.value = true
    timer.current = setTimeout(give, HOLD_MS)
  }
  const end = () => {
    if (!held.value) return
    held.value = false
    clearTimeout(timer.current)
  }
  useEffect(() => () => clearTimeout(timer.current), [])
  const click = (event: MouseEvent) => {
    if (event.detail !== 0) return
    if (asked.value) return give()
    asked.value = true
    timer.current = setTimeout(() => (asked.value = false), ASKED_MS)
  }
  return (
    <button
      type="button"
      class={held.value ? 'big hold held' : 'big hold'}
      onPointerDown={begin}
      onPointerUp={end}
      onPointerLeave={end}
      onPointerCancel={end}
      onContextMenu={event => event.preventDefault()}
      onClick={click}
    >
      {asked.value ? question : label}
    </button>
  )
}
