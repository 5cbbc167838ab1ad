// Alarms: the worst stands open, with its cause and cure; the others are one line each.
import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
import type { ActiveAlarmView, AlarmView } from '../../api/schema.ts'
import { clockSeconds } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { barNow } from '../../live/clock.ts'
import { HoldButton } from '../../parts/hold-button.tsx'
import { FilledTriangle, Octagon, OpenTriangle } from '../../parts/marks.tsx'
import { releaseStop } from '../../shell/orders.ts'
import { t } from './messages.ts'

interface Props {
  readonly alarm: AlarmView
  readonly others: readonly ActiveAlarmView[]
  readonly acts: ComponentChildren
}

export function AlarmBox({ alarm, others, acts }: Props) {
  const active = others.find(found => found.name === alarm.name && found.channel === alarm.channel)
  const rest = others.filter(found => found !== active && found.state !== 'shelved')
  return (
    <Box flag={<Flag alarm={alarm} />} at={active === undefined ? '' : clockSeconds(raisedAt(active))} lang={apiLang.value}>
      <h1 lang={apiLang.value}>{sentence(alarm)}</h1>
      <p class="cure" lang={apiLang.value}>
        {alarm.cure}
      </p>
      {alarm.detail !== '' && (
        <p class="seen small num">
          {t('seen_fact')} <span lang={apiLang.value}>{alarm.detail}</span>
        </p>
      )}
      <div class="acts">{acts}</div>
      {rest.length > 0 && (
        <ul class="rest-alarms" aria-label={t('also')}>
          {rest.map(found => (
            <li class="mark-n" key={found.id} lang={apiLang.value}>
              <OpenTriangle />
              {sentence(found)}
            </li>
          ))}
        </ul>
      )}
    </Box>
  )
}

/** Names the liquid where the alarm is of a channel. */
const sentence = (alarm: AlarmView): string => (alarm.liquid === null ? alarm.message : `${alarm.liquid}: ${alarm.message}`)

const raisedAt = (alarm: ActiveAlarmView): Date => new Date(barNow().getTime() - alarm.age_s * 1000)

const FLAGS = { hold: 'held_flag', stop: 'stopped_flag', abort: 'aborted_flag', note: 'noted_flag' } as const

const Flag = ({ alarm }: { alarm: AlarmView }) => (
  <>
    <FilledTriangle />
    <span>
      {t(FLAGS[alarm.reaction as keyof typeof FLAGS] ?? 'held_flag')}: <span lang={apiLang.value}>{alarm.name.replaceAll('_', ' ')}</span>
    </span>
  </>
)

export const LatchedBox = ({ alarm }: { alarm: ActiveAlarmView | undefined }) => (
  <Box
    flag={
      <>
        <Octagon />
        <span>{t('latched_flag')}</span>
      </>
    }
    at={alarm === undefined ? '' : clockSeconds(raisedAt(alarm))}
  >
    <h1>{t('latched')}</h1>
    <p class="cure">{t('latched_cure')}</p>
    <div class="acts">
      <HoldButton label={t('release')} question={t('release_now')} order={releaseStop} />
    </div>
  </Box>
)

interface BoxProps {
  readonly flag: ComponentChildren
  readonly at: string
  readonly lang?: string | undefined
  readonly children: ComponentChildren
}

/** Told once; the focus stays where it is, and F6 leads here. */
function Box({ flag, at, children }: BoxProps) {
  useEffect(() => {
    const jump = (event: KeyboardEvent) => {
      if (event.key !== 'F6') return
      event.preventDefault()
      document.querySelector<HTMLElement>('.alarm')?.focus()
    }
    addEventListener('keydown', jump)
    return () => removeEventListener('keydown', jump)
  }, [])
  return (
    <section class="say alarm" tabIndex={-1}>
      <div role="alert">
        <p class="flag">
          {flag}
          <span class="at num">{at}</span>
        </p>
      </div>
      <div class="body">{children}</div>
    </section>
  )
}

export const Noted = ({ alarms }: { alarms: readonly ActiveAlarmView[] }) => (
  <>
    {alarms
      .filter(found => found.reaction === 'note' && found.state !== 'shelved')
      .map(found => (
        <p class="mark-n noted" key={found.id} lang={apiLang.value}>
          <OpenTriangle />
          {sentence(found)}
        </p>
      ))}
  </>
)
