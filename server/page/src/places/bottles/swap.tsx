// The second touch of a swap: which bottle is new.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import type { BottleView, SwapBody } from '../../api/schema.ts'
import { millilitres } from '../../i18n/format.ts'
import { liquids } from '../../live/bar.ts'
import { replace, stillHere } from '../../router.ts'
import { refused } from '../../shell/refused.ts'
import { PATH } from './address.ts'
import { Another } from './another.tsx'
import { t } from './messages.ts'
import { spare, volumeOf, type Slot } from './shelf.ts'
import { swap } from './stock.ts'
import { Weigh } from './weigh.tsx'

const liquidOf = (id: string) => liquids.value.find(liquid => liquid.id === id)

/** How much is in a bottle, and whether that is all it holds. */
export function contentOf(bottle: BottleView): string {
  const liquid = liquidOf(bottle.liquid_id)
  const content = millilitres(volumeOf(bottle.content_g, liquid))
  if (bottle.content_g >= bottle.full_g) return t('full', { content })
  return t('partly', { content, full: millilitres(volumeOf(bottle.full_g, liquid)) })
}

export function Swap({ slot, bottles }: { slot: Slot; bottles: readonly BottleView[] }) {
  const { channel, bottle, liquid } = slot
  const emptied = useSignal(true)
  const busy = useSignal(false)
  const another = useSignal(false)
  const weighing = useSignal(false)
  const heading = useRef<HTMLHeadingElement>(null)
  const number = channel.number
  useEffect(() => heading.current?.focus(), [])
  const choose = async (chosen: Omit<SwapBody, 'emptied'>) => {
    if (busy.value) return
    busy.value = true
    const isHere = stillHere()
    try {
      await swap(number, { ...chosen, emptied: bottle !== undefined && emptied.value })
      if (!isHere()) return
      replace(PATH)
      document.getElementById(swapButtonId(number))?.focus()
    } catch (error) {
      refused(error)
    } finally {
      busy.value = false
    }
  }
  const choices = spare(bottles, channel.liquid_id)
  return (
    <li class="swap">
      <h2 ref={heading} tabIndex={-1}>
        {t('which', { number })}
      </h2>
      <div class="pair">
        <div>
          {choices.map(choice => (
            <button type="button" class="opt" key={choice.id} aria-disabled={busy.value} onClick={() => void choose({ bottle_id: choice.id })}>
              <span>
                <b>{choice.id}</b>, {liquidOf(choice.liquid_id)?.name ?? choice.liquid_id}
              </span>
              <span class="num">{contentOf(choice)}</span>
            </button>
          ))}
          <button type="button" class="opt" aria-expanded={another.value} onClick={() => (another.value = !another.value)}>
            <b>{t('another')}</b>
            <span>{t('another_hint')}</span>
          </button>
          {another.value && <Another slot={slot} busy={busy.value} choose={chosen => void choose(chosen)} />}
        </div>
        <div>
          {bottle !== undefined && (
            <label class="tick">
              <input type="checkbox" checked={emptied.value} onChange={event => (emptied.value = event.currentTarget.checked)} />
              <span>{t('emptied', { bottle: bottle.id, content: millilitres(volumeOf(bottle.content_g, liquid)) })}</span>
            </label>
          )}
          {liquid !== undefined && <p class="small">{t('other_liquid', { liquid: liquid.name })}</p>}
          <div class="acts">
            <button type="button" class="plain" onClick={() => replace(PATH)}>
              {t('leave')}
            </button>
            {bottle !== undefined && (
              <button type="button" class="plain" aria-expanded={weighing.value} onClick={() => (weighing.value = !weighing.value)}>
                {t('weigh', { bottle: bottle.id })}
              </button>
            )}
          </div>
          {bottle !== undefined && weighing.value && <Weigh bottle={bottle} done={() => (weighing.value = false)} />}
        </div>
      </div>
    </li>
  )
}

export const swapButtonId = (channel: number): string => `swap-${channel}`
