// Corrects what the records say of a bottle: by its mass on any scale, or, where its empty mass is unknown, by its content.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import type { BottleView } from '../../api/schema.ts'
import { refused } from '../../shell/refused.ts'
import { t } from './messages.ts'
import { weigh } from './stock.ts'

export function Weigh({ bottle, done }: { bottle: BottleView; done: () => void }) {
  const mass = useSignal('')
  const busy = useSignal(false)
  const field = useRef<HTMLInputElement>(null)
  useEffect(() => field.current?.focus(), [])
  const whole = bottle.tare_g !== null
  const submit = async (event: Event) => {
    event.preventDefault()
    if (busy.value) return
    busy.value = true
    try {
      const mass_g = Number(mass.value)
      await weigh(bottle.id, whole ? { gross_g: mass_g } : { content_g: mass_g })
      done()
    } catch (error) {
      refused(error)
    } finally {
      busy.value = false
    }
  }
  return (
    <form class="another" onSubmit={event => void submit(event)}>
      <label class="field">
        {t(whole ? 'gross_of' : 'content_of', { bottle: bottle.id })}
        <input ref={field} type="number" min="0" step="any" inputMode="decimal" required value={mass.value} onInput={event => (mass.value = event.currentTarget.value)} />
      </label>
      <button class="solid" aria-disabled={busy.value}>
        {t('correct')}
      </button>
    </form>
  )
}
