// Begins a round: one, however often it is pressed, since its key is made when the button is shown.
import type { ComponentChildren } from 'preact'
import { useMemo } from 'preact/hooks'
import { post } from '../api/api.ts'
import { newKey } from '../api/idempotency.ts'
import type { RoundBody } from '../api/schema.ts'
import { refresh } from '../live/bar.ts'
import { t } from '../shell/messages.ts'
import { StartButton } from './start-button.tsx'

interface Props {
  readonly class: string
  readonly wanted: RoundBody
  readonly then?: () => void
  readonly children: ComponentChildren
}

export function BeginRound({ wanted, then, children, ...rest }: Props) {
  const body = JSON.stringify(wanted)
  const key = useMemo(newKey, [body])
  const begin = async () => {
    await post('/v1/rounds', { body: wanted, headers: { 'Idempotency-Key': key } })
    refresh()
    then?.()
  }
  return (
    <StartButton key={key} {...rest} order={begin} doing={t('beginning')}>
      {children}
    </StartButton>
  )
}
