// The mast: the name, the places, the daemon's time, the emergency stop.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { get } from '../api/api.ts'
import { clockTime } from '../i18n/format.ts'
import { machine } from '../live/bar.ts'
import { barNow } from '../live/clock.ts'
import { reach } from '../live/reach.ts'
import { Mark, Octagon } from '../parts/marks.tsx'
import { addressNow } from '../router.ts'
import { t } from './messages.ts'
import { emergencyStop } from './orders.ts'
import { Places } from './places.tsx'
import { useHeight } from './use-height.ts'

export function Mast() {
  return (
    <header ref={useHeight('--above')} class="mast">
      <a class="mark" href="/" aria-label={t('mark')}>
        <Mark />
        <span>Tarewell</span>
      </a>
      <nav class="places" aria-label={t('places')}>
        <Places />
      </nav>
      <Clock />
      <EmergencyStop />
    </header>
  )
}

function Clock() {
  const time = useSignal(barNow())
  const signedIn = useSignal(false)
  useEffect(() => {
    get('/v1/session').then(session => (signedIn.value = session.ends_at !== null), () => undefined)
  }, [])
  useEffect(() => {
    const timer = setInterval(() => (time.value = barNow()), 1000)
    return () => clearInterval(timer)
  }, [])
  const name = machine.value?.machine_id
  const shown = (
    <>
      {name !== undefined && <span class="bar">{name}, </span>}
      <time>{clockTime(time.value)}</time>
    </>
  )
  if (!signedIn.value) return <p class="clock small">{shown}</p>
  return (
    <a class="clock small" href={`/sign-in?to=${encodeURIComponent(addressNow())}`}>
      {shown} <span class="out">{t('sign_out')}</span>
    </a>
  )
}

/** Acts on going down, with one touch and no question; by keyboard on pressing. */
function EmergencyStop() {
  const away = reach.value === 'cut_off'
  const on = !away && machine.value?.latched === true
  return (
    <button
      type="button"
      class={on ? 'estop on' : 'estop'}
      aria-disabled={away}
      title={t('emergency_title')}
      onPointerDown={() => void emergencyStop()}
      onClick={event => event.detail === 0 && void emergencyStop()}
    >
      <Octagon />
      {away ? t('no_connection') : on ? t('emergency_on') : t('emergency_stop')}
    </button>
  )
}
