// Cleaning: what is due on the channels, and priming.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { ListedChannelView } from '../../api/schema.ts'
import { liquids, refresh } from '../../live/bar.ts'
import { StartButton } from '../../parts/start-button.tsx'
import { open } from '../../router.ts'
import { Needs } from '../bottles/needs.tsx'
import { run } from '../bottles/stock.ts'
import { Choices } from './fields.tsx'
import { useAskedAtEvents } from './listing.tsx'
import { t } from './messages.ts'

export function Cleaning() {
  const title = t('cleaning')
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  const { answer } = useAskedAtEvents('cleaning', () => get('/v1/channels'))
  const wanted = useSignal<number | null>(null)
  if (answer === null) return <h1 class="title">{t('asking')}</h1>
  const liquidOf = ({ liquid_id }: ListedChannelView) => liquids.value.find(liquid => liquid.id === liquid_id)
  const due = answer.filter(channel => channel.steps.length > 0)
  const filled = answer.filter(channel => channel.liquid_id !== null && channel.steps.length === 0)
  const chosen = filled.find(channel => channel.number === wanted.value) ?? filled[0]
  const nameOf = (channel: ListedChannelView) => t('channel_of', { number: channel.number, liquid: liquidOf(channel)?.name ?? channel.liquid_id ?? '' })
  return (
    <>
      <h1 class="title">{title}</h1>
      <h2 class="sect">{t('due')}</h2>
      {due.length === 0 && <p class="lasting">{t('nothing_due')}</p>}
      <Needs slots={due.map(channel => ({ channel, liquid: liquidOf(channel), bottle: undefined, outlook: undefined }))} />
      {due.length > 0 && <p class="small lasting">{t('cleaner_caution')}</p>}
      {chosen !== undefined && (
        <>
          <h2 class="sect">{t('prime')}</h2>
          <div class="acts lasting">
            <select aria-label={t('prime_which')} value={chosen.number} onChange={event => (wanted.value = Number(event.currentTarget.value))}>
              <Choices choices={filled.map(channel => ({ value: String(channel.number), name: nameOf(channel) }))} />
            </select>
            <StartButton key={chosen.number} class="solid" doing={t('beginning')} order={() => prime(chosen.number)}>
              {t('prime_of', { number: chosen.number })}
            </StartButton>
          </div>
          <p class="small after">{t('prime_hint')}</p>
        </>
      )}
    </>
  )
}

/** Goes to Now, which shows what runs. */
async function prime(channel: number): Promise<void> {
  await run(channel, { step: 'prime', request: 'prime', agent: null, min_g: null })
  refresh()
  open('/')
}
