// What channels need before they may pour: flush, purge, prime, as the daemon tells them. Each step runs into a cup.
import { apiLang } from '../../i18n/language.ts'
import { figure } from '../../i18n/format.ts'
import { refresh } from '../../live/bar.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { StartButton } from '../../parts/start-button.tsx'
import { open } from '../../router.ts'
import { t } from './messages.ts'
import type { Slot } from './shelf.ts'
import { FLUSH_G, run, type Step } from './stock.ts'

export function Needs({ slots }: { slots: readonly Slot[] }) {
  return slots.filter(slot => slot.channel.steps.length > 0).map(slot => <Need key={slot.channel.number} slot={slot} />)
}

function Need({ slot: { channel } }: { slot: Slot }) {
  const number = channel.number
  return (
    <section class="need" aria-label={t('need_of', { number })}>
      <h2>
        <OpenTriangle />
        {t('need_of', { number })}
      </h2>
      <p lang={apiLang.value}>{channel.message}.</p>
      <ol>
        {channel.steps.map((step, index) => (
          <li key={step.step}>
            {index === 0 ? (
              <StartButton class="solid" doing={t('beginning')} order={() => begin(number, step)}>
                {nameOf(step, number)}
              </StartButton>
            ) : (
              <b>{nameOf(step, number)}</b>
            )}
            <p class="small">{hintOf(step)}</p>
          </li>
        ))}
      </ol>
    </section>
  )
}

/** Goes to Now, which shows what runs. */
async function begin(channel: number, step: Step): Promise<void> {
  await run(channel, step)
  refresh()
  open('/')
}

function nameOf(step: Step, number: number): string {
  if (step.request === 'prime') return t('prime', { number })
  if (step.request === 'purge') return t('purge', { number })
  return t(step.agent === 'cleaner' ? 'flush_cleaner' : 'flush_water', { number })
}

function hintOf(step: Step): string {
  if (step.request === 'prime') return t('prime_hint')
  if (step.request === 'purge') return t('purge_hint')
  const amount = figure(Math.max(FLUSH_G, step.min_g ?? 0), 0)
  return t(step.agent === 'cleaner' ? 'cleaner_hint' : 'water_hint', { amount })
}
