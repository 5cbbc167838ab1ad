// The mast: the name, the places, the daemon's time, the emergency stop.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { clockTime } from '../i18n/format.ts'
import { machine } from '../live/bar.ts'
import { barNow } from '../live/clock.ts'
import { reach } from '../live/reach.ts'
import { Mark, Octagon } from '../parts/marks.tsx'
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
  useEffect(() => {
    const timer = setInterval(() => (time.value = barNow()), 1000)
    return () => clearInterval(timer)
  }, [])
  const name = machine.value?.machine_id
  return (
    <p class="clock small">
      {name !== undefined && <span class="bar">{name}, </span>}
      <time>{clockTime(time.value)}</time>
    </p>
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
