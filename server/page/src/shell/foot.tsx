// The foot: Stop where the thumb is, on every place, as long as a pump may turn. It never holds anything that starts.
import { machine, round } from '../live/bar.ts'
import { reach } from '../live/reach.ts'
import { Square } from '../parts/marks.tsx'
import { t } from './messages.ts'
import { isHeld, mayTurn, stop, stopping } from './orders.ts'
import { Places } from './places.tsx'
import { useHeight } from './use-height.ts'

export function Foot() {
  const away = reach.value === 'cut_off'
  return (
    <footer ref={useHeight('--below')} class={away ? 'foot away' : 'foot'} aria-label={t('stop_bar')}>
      <Run away={away} />
      <nav aria-label={t('places')}>
        <Places />
      </nav>
    </footer>
  )
}

function Run({ away }: { away: boolean }) {
  if (away)
    return (
      <div class="run">
        <p>
          <b>{t('not_reached')}</b>
          <span class="small">{t('knob')}</span>
        </p>
        <button type="button" class="stop" aria-disabled="true">
          {t('no_connection')}
        </button>
      </div>
    )
  if (isHeld.value)
    return (
      <div class="run quiet">
        <p>
          <b>{t('held')}</b>
          <span class="small">{which()}</span>
        </p>
      </div>
    )
  if (!mayTurn.value) return null
  const hint = machine.value?.round_id == null ? t('stop_pour_hint') : t('stop_round_hint')
  return (
    <div class="run">
      <p>
        <b>{which()}</b>
        <span class="small">{stopping.value ? t('stop_waits') : hint}</span>
      </p>
      <button
        type="button"
        class="stop"
        aria-disabled={stopping.value}
        onPointerDown={() => void stop()}
        onClick={event => event.detail === 0 && void stop()}
      >
        {stopping.value ? t('stopping') : [<Square key="square" />, t('stop')]}
      </button>
    </div>
  )
}

function which(): string {
  const progress = machine.value?.round_id == null ? null : round.value?.progress
  if (progress == null) return t('pour_under_way')
  return t('glass_of', { number: progress.glass, count: round.value?.glasses.length ?? 0 })
}
