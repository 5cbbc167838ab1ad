// A bottle that the records do not know yet: what its label says. It is added and mounted in one step.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { SwapBody } from '../../api/schema.ts'
import { liquids } from '../../live/bar.ts'
import { refused } from '../../shell/refused.ts'
import { t } from './messages.ts'
import { nextId } from './next-id.ts'
import type { Slot } from './shelf.ts'

interface Props {
  readonly slot: Slot
  readonly busy: boolean
  readonly choose: (body: Omit<SwapBody, 'emptied'>) => void
}

export function Another({ slot: { channel, bottle, liquid }, busy, choose }: Props) {
  const liquidId = useSignal(channel.liquid_id ?? liquids.value[0]?.id ?? '')
  const full = useSignal('')
  const id = useSignal('')
  const first = useRef<HTMLSelectElement>(null)
  useEffect(() => {
    first.current?.focus()
    get('/v1/bottles', { query: { emptied: true } })
      .then(all => (id.value ||= nextId(bottle?.id ?? liquid?.id ?? 'bottle', all.map(found => found.id))))
      .catch(refused)
  }, [])
  const submit = (event: Event) => {
    event.preventDefault()
    choose({ bottle_id: id.value, new: { liquid_id: liquidId.value, full_ml: Number(full.value) } })
  }
  return (
    <form class="another" onSubmit={submit}>
      <label class="field">
        {t('its_liquid')}
        <select ref={first} value={liquidId.value} onChange={event => (liquidId.value = event.currentTarget.value)}>
          {liquids.value.map(found => (
            <option key={found.id} value={found.id}>
              {found.name}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        {t('its_volume')}
        <input type="number" min="1" step="any" inputMode="decimal" required value={full.value} onInput={event => (full.value = event.currentTarget.value)} />
      </label>
      <label class="field">
        {t('its_id')}
        <input required autocomplete="off" spellcheck={false} value={id.value} onInput={event => (id.value = event.currentTarget.value)} />
      </label>
      <button class="solid" aria-disabled={busy}>
        {t('mount')}
      </button>
    </form>
  )
}
