// The rail: the glasses of the round under way hang from it, then the orders that wait. One tab stop, arrows within.
import { useRef } from 'preact/hooks'
import type { RoundView } from '../api/schema.ts'
import { machine, round } from '../live/bar.ts'
import { reading } from '../live/live.ts'
import { reach } from '../live/reach.ts'
import { t } from './messages.ts'
import { isHeld } from './orders.ts'

/** A ticket on the rail, of a glass of the round or of an order. */
export interface Ticket {
  readonly key: string
  readonly number: number
  readonly seat: string
  readonly drink: string
  readonly state: string
  readonly on: boolean
  readonly href: string
}

export function Rail() {
  const list = useRef<HTMLOListElement>(null)
  const tickets = ticketsOf(machine.value?.round_id == null ? null : round.value)
  const arrows = (event: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key]
    const links = [...(list.current?.querySelectorAll('a') ?? [])]
    const at = links.indexOf(document.activeElement as HTMLAnchorElement)
    if (step === undefined || at < 0) return
    event.preventDefault()
    links[Math.max(0, Math.min(links.length - 1, at + step))]?.focus()
  }
  const away = reach.value === 'cut_off'
  return (
    <section class={away ? 'rail away' : 'rail'} aria-label={t('rail')}>
      {tickets.length === 0 ? (
        <p class="gap">{t('rail_empty')}</p>
      ) : (
        <ol ref={list} onKeyDown={arrows}>
          {tickets.map((ticket, index) => (
            <li key={ticket.key} aria-current={ticket.on && !away ? 'true' : undefined}>
              <a class={ticket.on && !away ? 'ticket on' : 'ticket'} href={ticket.href} tabIndex={index === 0 ? 0 : -1}>
                <b>{ticket.number}</b>
                <span class="seat">{ticket.seat}</span>
                <span class="what">{ticket.drink}</span>
                <span class="st">{ticket.state}</span>
              </a>
            </li>
          ))}
        </ol>
      )}
    </section>
  )
}

function ticketsOf(shown: RoundView | null): Ticket[] {
  if (shown?.progress == null) return []
  // until the glass before is taken away, the next one only waits
  const at = shown.progress.step === 'awaiting_removal' ? shown.progress.glass - 1 : shown.progress.glass
  return shown.glasses.map(glass => ({
    key: `${shown.id}-${glass.glass}`,
    number: glass.glass,
    seat: glass.guest ?? '',
    drink: glass.name,
    state: stateOf(glass.state, glass.glass - at, glass.glass, shown.glasses.length),
    on: glass.state === 'under_way' && glass.glass === at,
    href: '/',
  }))
}

function stateOf(state: string, after: number, number: number, count: number): string {
  if (reach.value !== 'open' || reading.value === null) return t('not_known')
  if (after === 0 && state === 'under_way') return isHeld.value ? t('held_of', { number, count }) : t('under_way', { number, count })
  if (after > 0) return after === 1 ? t('next_glass') : t('in_round')
  if (state === 'skipped') return t('glass_skipped')
  return state === 'complete' ? t('glass_complete') : t('glass_stopped')
}
