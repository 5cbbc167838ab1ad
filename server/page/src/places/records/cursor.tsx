// The cursor in a trace. It follows a finger, the mouse and the keys, and the address has it: #t=9.6
import { useSignal, type Signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import type { TracePictureView } from '../../api/schema.ts'
import { duration, flowRate, grams } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { replace, route } from '../../router.ts'
import { kept, momentAt, moved, type Moment } from './moment.ts'
import { t } from './messages.ts'
import { within, type Scale } from './plot.ts'

/** The address is changed when the cursor has stood still so long. */
const CALM_MS = 300

const HASH = /^#t=(-?\d+(?:\.\d+)?)$/

/** Where the cursor stands, in s from tare; null: nowhere yet. */
export function useCursor(time: Scale): Signal<number | null> {
  const { hash } = route.value
  const at = useSignal<number | null>(null)
  useEffect(() => {
    const told = HASH.exec(hash)?.[1]
    if (told !== undefined) at.value = kept(time, Number(told))
  }, [hash])
  return at
}

interface Props {
  readonly trace: TracePictureView
  readonly time: Scale
  readonly mass: Scale
  readonly at: Signal<number | null>
}

/** Lies over the plot. It says what it reads only when it is moved, as a slider does. */
export function Cursor({ trace, time, mass, at }: Props) {
  const at_s = at.value
  useEffect(() => {
    if (at_s === null) return
    const timer = setTimeout(() => replace(`${location.pathname}${location.search}#t=${at_s.toFixed(1)}`), CALM_MS)
    return () => clearTimeout(timer)
  }, [at_s])
  const point = ({ currentTarget, clientX }: PointerEvent & { currentTarget: HTMLElement }) => {
    const { left, width } = currentTarget.getBoundingClientRect()
    at.value = kept(time, time.from + ((clientX - left) / width) * (time.to - time.from))
  }
  const press = (event: KeyboardEvent) => {
    const to_s = moved(trace, time, at_s ?? 0, event.key)
    if (to_s === null || event.altKey || event.ctrlKey || event.metaKey) return
    event.preventDefault()
    at.value = to_s
  }
  const moment = at_s === null ? null : momentAt(trace, time, at_s)
  const said = at_s === null || moment === null ? t('no_cursor') : [sentenceOf(at_s, moment), ...moment.here.map(({ text, said }) => text || said)].join('; ')
  return (
    <div
      class="cursor"
      tabIndex={0}
      role="slider"
      aria-label={t('cursor')}
      aria-valuemin={Math.round(time.from * 10) / 10}
      aria-valuemax={Math.round(time.to * 10) / 10}
      aria-valuenow={Math.round((at_s ?? 0) * 10) / 10}
      aria-valuetext={said}
      onPointerDown={event => {
        event.currentTarget.setPointerCapture(event.pointerId)
        point(event)
      }}
      onPointerMove={point}
      onKeyDown={press}
    >
      {at_s !== null && <i class="c-at" style={{ '--at': String(within(time, at_s)) }} />}
      {at_s !== null && moment !== null && moment.mass_g !== null && (
        <i class="c-mass" style={{ '--at': String(within(time, at_s)), '--down': String(1 - within(mass, moment.mass_g)) }} />
      )}
    </div>
  )
}

/** The same to see; the cursor itself says it to who does not. */
export function Readout({ trace, time, at }: Omit<Props, 'mass'>) {
  const at_s = at.value
  if (at_s === null) return <p class="read small">{t('cursor_hint')}</p>
  const moment = momentAt(trace, time, at_s)
  return (
    <p class="read" aria-hidden="true">
      {sentenceOf(at_s, moment)}
      {moment.here.map(({ text, said }, index) => (
        <b key={index}>
          {text} <span lang={apiLang.value}>{said}</span>
        </b>
      ))}
    </p>
  )
}

function sentenceOf(at_s: number, { mass_g, flow_g_per_s, step }: Moment): string {
  const time = duration(at_s, 1)
  if (mass_g === null) return t('at_cursor_lost', { time, step })
  const mass = grams(mass_g)
  return flow_g_per_s === null ? t('at_cursor_mass', { time, mass, step }) : t('at_cursor', { time, mass, flow: flowRate(flow_g_per_s), step })
}
