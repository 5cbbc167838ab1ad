// Now: what the machine does this moment.
import { computed } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { earlier, glasses, liquids, machine, pour, round } from '../../live/bar.ts'
import { reading } from '../../live/live.ts'
import { waiting } from '../../live/queue.ts'
import { reach } from '../../live/reach.ts'
import { Glass } from '../../parts/glass.tsx'
import { t as shellText } from '../../shell/messages.ts'
import { pourStep, stopping } from '../../shell/orders.ts'
import type { Place } from '../place.ts'
import { t } from './messages.ts'
import { Meter } from './meter.tsx'
import { askOffer, offer } from './next-order.ts'
import { isOver, pictureOf } from './picture.ts'
import { Say, sentenceOf } from './say.tsx'
import { situationOf, type Situation } from './situation.ts'

const situation = computed<Situation>(() =>
  situationOf({
    reach: reach.value,
    machine: machine.value,
    pour: pour.value,
    round: round.value,
    reading: reading.value,
    step: pourStep.value,
    stopping: stopping.value,
    offer: offer.value,
  }),
)

const pourNow = computed(() => (machine.value?.pour_id != null && pour.value?.id === machine.value.pour_id ? pour.value : null))
const roundNow = computed(() => (machine.value?.round_id != null ? round.value : null))

const BOXED = new Set(['latched', 'alarm'])

/** While several events come, the daemon is not asked. */
const CALM_MS = 150

const View = () => {
  const now = situation.value
  const boxed = BOXED.has(now.kind) || now.kind === 'held'
  const picture = pictureOf({
    situation: now,
    pour: now.kind === 'take_away' || (roundNow.value !== null && isOver(roundNow.value)) ? pour.value : pourNow.value,
    round: now.kind === 'take_away' ? round.value : roundNow.value,
    earlier: earlier.value,
    reading: reading.value,
    glasses: glasses.value,
    liquids: liquids.value,
    plan: now.kind === 'order_waiting' ? now.offer.plan : null,
  })
  useEffect(() => {
    if (roundNow.value !== null || pourNow.value !== null) return
    const timer = setTimeout(() => void askOffer().catch(() => undefined), CALM_MS)
    return () => clearTimeout(timer)
  }, [waiting.value, machine.value])
  const title = t('title', { what: sentenceOf(now) })
  useEffect(() => void (document.title = title), [title])
  useEffect(() => {
    document.body.classList.toggle('has-alarm', boxed)
    return () => document.body.classList.remove('has-alarm')
  }, [boxed])
  return (
    <div class={['stage', boxed && 'held', picture === null && 'bare'].filter(Boolean).join(' ')}>
      <Say situation={now} round={roundNow.value} pour={pourNow.value} alarms={machine.value?.alarms ?? []} />
      <Meter situation={now} pour={pourNow.value} round={roundNow.value} />
      {picture !== null && (
        <div class="picw">
          <Glass picture={picture} />
        </div>
      )}
    </div>
  )
}

export const now: Place = { path: '/', name: () => shellText('now'), View }
