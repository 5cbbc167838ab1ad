// The sentence that matters, who it is for, and the buttons that go with it, in the upper part of the page.
import type { ComponentChildren, VNode } from 'preact'
import { useEffect } from 'preact/hooks'
import { useSignal } from '@preact/signals'
import { post } from '../../api/api.ts'
import type { ActiveAlarmView, PourView, RoundView } from '../../api/schema.ts'
import { clockSeconds, duration, grams } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { glasses, refresh } from '../../live/bar.ts'
import { barNow } from '../../live/clock.ts'
import { lastReadingAt } from '../../live/live.ts'
import { nextTryAt } from '../../live/reach.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { StartButton } from '../../parts/start-button.tsx'
import { give } from '../../shell/orders.ts'
import { AlarmBox, LatchedBox } from './alarm.tsx'
import { t } from './messages.ts'
import type { Offer } from './next-order.ts'
import { OrderActs } from './order-acts.tsx'
import type { Ready, Situation } from './situation.ts'

interface Props {
  readonly situation: Situation
  /** Under way, else null. */
  readonly round: RoundView | null
  readonly pour: PourView | null
  readonly alarms: readonly ActiveAlarmView[]
}

/** The sentence without italics, for the title of the tab. */
export const sentenceOf = (situation: Situation): string => text(situation, false) as string

const rich = (situation: Situation) => text(situation, true)

function text(now: Situation, italics: boolean): VNode | string {
  const say = (italics ? t.rich : t) as typeof t
  switch (now.kind) {
    case 'order_waiting':
    case 'await_glass': {
      if (now.kind === 'await_glass' && now.back) return say('put_back')
      const glassId = now.kind === 'await_glass' ? now.glassId : now.offer.plan.glass_id
      const glass = glasses.value.find(found => found.id === glassId)?.name
      return glass === undefined ? say('put_any_glass') : say('put_glass', { glass })
    }
    case 'pouring':
    case 'topping_up':
      return say(now.kind, { liquid: now.liquid })
    case 'by_hand':
      return say('by_hand_then', { what: capital(now.hand.what) })
    case 'await_release':
      return say('wait_release', { guest: now.guest })
    case 'take_away':
      if (now.ready === null || now.ready.drink === '') return say('take_away')
      if (now.ready.guest === null) return say('take_away_ready', { drink: now.ready.drink })
      return say('take_away_for', { drink: now.ready.drink, guest: now.ready.guest })
    case 'held':
    case 'alarm':
      return now.alarm?.message ?? say('held')
    default:
      return say(now.kind)
  }
}

/** What an operator wrote, at the begin of a sentence. */
const capital = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1)

export function Say({ situation, round, pour, alarms }: Props) {
  const sentence = rich(situation)
  if (situation.kind === 'latched') return <LatchedBox alarm={alarms.find(found => found.name.startsWith('emergency_stop'))} />
  if (situation.kind === 'alarm') return <AlarmBox alarm={situation.alarm} others={alarms} acts={<Acknowledge alarm={situation.alarm} />} />
  if (situation.kind === 'held' && situation.alarm !== null)
    return <AlarmBox alarm={situation.alarm} others={alarms} acts={<HeldActs channel={situation.alarm.channel} inRound={situation.inRound} />} />
  return (
    <div class="say">
      <div aria-live="polite">
        <Above situation={situation} round={round} pour={pour} />
        <h1>{sentence}</h1>
      </div>
      <Below situation={situation} round={round} />
    </div>
  )
}

/** What stands above the sentence: who it is for, or the shape and the word of what is abnormal. */
function Above({ situation, round, pour }: Omit<Props, 'alarms'>) {
  switch (situation.kind) {
    case 'cut_off':
      return <Warned>{t('cut_off_flag')}</Warned>
    case 'no_board':
    case 'uncalibrated':
      return <Warned>{t('not_ready_flag')}</Warned>
    case 'idle':
      return <p class="who">{t('nothing_under_way')}</p>
    case 'take_away':
      return situation.ready === null ? null : <p class="who">{resultOf(situation.ready)}</p>
    case 'order_waiting':
      return <p class="who">{nextOf(situation.offer)}</p>
    case 'asking':
    case 'blocked':
      return null
  }
  const glass = round?.progress == null ? undefined : round.glasses[round.progress.glass - 1]
  const drink = glass?.name ?? pour?.recipe?.name
  if (drink === undefined) return null
  return <p class="who">{glass?.guest == null ? drink : t('for_guest', { drink, guest: glass.guest })}</p>
}

function nextOf({ orders }: Offer): string {
  const [next] = orders
  if (next === undefined) return ''
  const { number, name: drink, guest } = next
  return guest === null ? t('next_order', { number, drink }) : t('next_order_for', { number, drink, guest })
}

const Warned = ({ children }: { children: ComponentChildren }) => (
  <p class="mark-w">
    <OpenTriangle />
    {children}
  </p>
)

function resultOf({ delivered_g, target_g, verdict }: Ready): string {
  const figures = { delivered: grams(delivered_g), target: grams(target_g) }
  return verdict === null ? t('result', figures) : t(`result_${verdict}`, figures)
}

function Below({ situation, round }: { situation: Situation; round: RoundView | null }) {
  switch (situation.kind) {
    case 'cut_off':
      return <CutOff />
    case 'no_board':
      return <p class="then">{t('no_board_then')}</p>
    case 'uncalibrated':
      return (
        <>
          <p class="then">{t('uncalibrated_then')}</p>
          <Acts>
            <a class="btn solid big" href="/setup/scale/calibrate">
              {t('calibrate')}
            </a>
          </Acts>
        </>
      )
    case 'blocked':
      return (
        <ul class="then" lang={apiLang.value}>
          {situation.blockers.map(blocker => (
            <li key={blocker}>{blocker}</li>
          ))}
        </ul>
      )
    case 'idle':
      return (
        <Acts>
          <a class="btn solid big" href="/drinks">
            {t('choose')}
          </a>
        </Acts>
      )
    case 'order_waiting':
      return <OrderActs offer={situation.offer} />
    case 'await_glass':
      return (
        <>
          {situation.wrong !== '' && (
            <p class="then" lang={apiLang.value}>
              {situation.wrong}
            </p>
          )}
          {round === null ? (
            <Acts>
              <StopAct inRound={false} />
            </Acts>
          ) : (
            <RoundActs />
          )}
        </>
      )
    case 'take_away':
      return round === null ? null : (
        <Acts>
          <StopAct inRound />
        </Acts>
      )
    case 'glass_ready':
      return (
        <Acts>
          <StartButton class="solid big" order={() => give('start')} doing={t('beginning')}>
            {t('pour')}
          </StartButton>
          <SkipAct />
        </Acts>
      )
    case 'by_hand':
      return round === null ? null : (
        <Acts>
          <StartButton
            key={`${situation.glass}-${situation.leg}`}
            class="solid big"
            order={() => confirm(round.id, situation.glass, situation.leg)}
            doing={t('confirming')}
          >
            {t('done')}
          </StartButton>
          <SkipAct />
        </Acts>
      )
    case 'held':
      return (
        <>
          {situation.why !== '' && (
            <p class="then" lang={apiLang.value}>
              {situation.why}
            </p>
          )}
          <Acts>
            <HeldActs channel={null} inRound={situation.inRound} />
          </Acts>
        </>
      )
    case 'await_release':
      return (
        <>
          <p class="then" lang={apiLang.value}>
            {situation.why}
          </p>
          <ReleaseGuest guest={situation.guest} />
          <RoundActs />
        </>
      )
    default:
      return null
  }
}

const Acts = ({ children }: { children: ComponentChildren }) => <div class="acts">{children}</div>

const RoundActs = () => (
  <Acts>
    <SkipAct />
    <StopAct inRound />
  </Acts>
)

const SkipAct = () => (
  <StartButton class="plain" order={() => give('skip')} doing={t('skip_doing')}>
    {t('skip')}
  </StartButton>
)

const StopAct = ({ inRound }: { inRound: boolean }) => (
  <StartButton class="plain" order={() => give('stop')} doing={t('stop_doing')}>
    {inRound ? t('stop_round') : t('stop_pour')}
  </StartButton>
)

/** `channel`: its bottle may be the cause. */
function HeldActs({ channel, inRound }: { channel: number | null; inRound: boolean }) {
  return (
    <>
      {channel !== null && (
        <a class="btn solid big" href={`/bottles?swap=${channel}`}>
          {t('swap', { channel })}
        </a>
      )}
      <StartButton class={channel === null ? 'solid big' : 'big'} order={() => give('restart')} doing={t('restart_doing')}>
        {t('restart')}
      </StartButton>
      {inRound && <SkipAct />}
      <StopAct inRound={inRound} />
    </>
  )
}

const Acknowledge = ({ alarm }: { alarm: ActiveAlarmView }) => (
  <StartButton class="solid big" doing="…" order={() => post('/v1/alarms/{alarm_id}/acknowledge', { at: { alarm_id: alarm.id } }).then(refresh)}>
    {t('acknowledge')}
  </StartButton>
)

const confirm = (round_id: string, glass: number, leg: number) =>
  post('/v1/rounds/{round_id}/confirm', { at: { round_id }, query: { glass, leg } }).then(refresh)

function ReleaseGuest({ guest }: { guest: string }) {
  const who = useSignal('')
  const why = useSignal('')
  const release = () =>
    post('/v1/guests/{guest}/release', { at: { guest }, body: { released_by: who.value, reason: why.value } }).then(refresh)
  return (
    <div class="release">
      <label>
        {t('released_by')}
        <input value={who.value} onInput={event => (who.value = event.currentTarget.value)} />
      </label>
      <label>
        {t('reason')}
        <input value={why.value} onInput={event => (why.value = event.currentTarget.value)} />
      </label>
      <StartButton class="solid big" order={release} doing={t('release_doing')}>
        {t('release_guest', { guest })}
      </StartButton>
    </div>
  )
}

/** When the last reading came, in words: the number itself is gone. */
function CutOff() {
  const tick = useSignal(0)
  useEffect(() => {
    const timer = setInterval(() => (tick.value += 1), 1000)
    return () => clearInterval(timer)
  }, [])
  void tick.value
  const last = lastReadingAt.value
  const next = nextTryAt.value
  const count = last === null ? 0 : Math.max(0, Math.round((barNow().getTime() - last.getTime()) / 1000))
  const left_s = next === null ? 0 : Math.ceil((next - Date.now()) / 1000)
  return (
    <>
      <p class="then">
        {last === null ? t('never_read') : t('last_reading', { time: clockSeconds(last), count })} {t('cut_off_then')}
      </p>
      <p class="then small">{left_s > 0 ? t('try_again', { time: duration(left_s) }) : t('trying')}</p>
    </>
  )
}
