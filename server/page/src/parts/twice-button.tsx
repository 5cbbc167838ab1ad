// A button for what cannot be undone: it asks for 10 s whether it is meant, and acts when it is pressed again.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { StartButton } from './start-button.tsx'

const ASKED_MS = 10_000

interface Props {
  readonly label: string
  readonly question: string
  readonly doing: string
  readonly order: () => Promise<unknown>
}

export function TwiceButton({ label, question, doing, order }: Props) {
  const asked = useSignal(false)
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  useEffect(() => () => clearTimeout(timer.current), [])
  const press = async () => {
    clearTimeout(timer.current)
    if (asked.value) {
      asked.value = false
      await order()
      return
    }
    asked.value = true
    timer.current = setTimeout(() => (asked.value = false), ASKED_MS)
  }
  return (
    <StartButton order={press} doing={doing}>
      {asked.value ? question : label}
    </StartButton>
  )
}
