// The rail: the glasses of the round under way hang from it, then the orders that wait, then those that are ready. One
// tab stop, arrows within. An order opens under the rail.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { machine, round } from '../live/bar.ts'
import { barNow } from '../live/clock.ts'
import { orders, ready, waiting } from '../live/queue.ts'
import { reading } from '../live/live.ts'
import { reach } from '../live/reach.ts'
import { t } from './messages.ts'
import { isHeld } from './orders.ts'
import { OpenTicket } from './ticket.tsx'
import { orderTickets, roundTickets, type Ticket } from './tickets.ts'

const AGED_EACH_MS = 15_000
const NO_TICKETS: readonly Ticket[] = []

export function Rail() {
  const list = useRef<HTMLOListElement>(null)
  const opened = useSignal<string | null>(null)
  const now = useSignal(barNow())
  useEffect(() => {
    const timer = setInterval(() => (now.value = barNow()), AGED_EACH_MS)
    return () => clearInterval(timer)
  }, [])
  const away = reach.value === 'cut_off'
  const known = !away && reading.value !== null
  const shown = machine.value?.round_id == null ? null : round.value
  const groups = [
    { word: null, tickets: shown === null ? NO_TICKETS : roundTickets(shown, isHeld.value, known) },
    { word: t('waiting'), tickets: orderTickets(waiting.value, now.value, !away) },
    { word: t('ready'), tickets: orderTickets(ready.value, now.value, !away) },
  ].filter(group => group.tickets.length > 0)
  const first = groups[0]?.tickets[0]
  const toggle = (id: string) => (opened.value = opened.value === id ? null : id)
  const order = orders.value.find(found => found.id === opened.value)
  const close = () => {
    list.current?.querySelector<HTMLElement>('[aria-expanded=true]')?.focus()
    opened.value = null
  }
  return (
    <>
      <section class={away ? 'rail away' : 'rail'} aria-label={t('rail')}>
        {groups.length === 0 ? (
          <p class="gap">{t('rail_empty')}</p>
        ) : (
          <>
            <ol class="hang" ref={list} onKeyDown={event => roam(event, list.current)}>
              {groups.flatMap(({ word, tickets }) => [
                ...(word === null || (word === t('waiting') && groups[0]?.tickets === tickets)
                  ? []
                  : [
                      <li class="gap" key={word}>
                        {word}
                      </li>,
                    ]),
                ...tickets.map(ticket => (
                  <li key={ticket.key} aria-current={ticket.on && !away ? 'true' : undefined}>
                    <Hanging ticket={ticket} on={ticket.on && !away} first={ticket === first} opened={opened.value} toggle={toggle} />
                  </li>
                )),
              ])}
            </ol>
            <More list={list} count={groups.reduce((sum, group) => sum + group.tickets.length, 0)} />
          </>
        )}
      </section>
      {order !== undefined && <OpenTicket key={order.id} order={order} close={close} />}
    </>
  )
}

/** Arrows go from ticket to ticket. */
function roam(event: KeyboardEvent, list: HTMLOListElement | null): void {
  const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key]
  const tickets = [...(list?.querySelectorAll<HTMLElement>('.ticket') ?? [])]
  const at = tickets.indexOf(document.activeElement as HTMLElement)
  if (step === undefined || at < 0) return
  event.preventDefault()
  tickets[Math.max(0, Math.min(tickets.length - 1, at + step))]?.focus()
}

interface HangingProps {
  readonly ticket: Ticket
  readonly on: boolean
  readonly first: boolean
  readonly opened: string | null
  readonly toggle: (orderId: string) => void
}

function Hanging({ ticket, on, first, opened, toggle }: HangingProps) {
  const { orderId } = ticket
  const style = on ? 'ticket on' : 'ticket'
  const stop = first ? 0 : -1
  const text = (
    <>
      <b>{ticket.number}</b>
      <span class="seat">{ticket.seat}</span>
      <span class="what">{ticket.drink}</span>
      <span class={ticket.long ? 'st long' : 'st'}>{ticket.state}</span>
    </>
  )
  if (orderId === null)
    return (
      <a class={style} href="/" tabIndex={stop}>
        {text}
      </a>
    )
  return (
    <button type="button" class={style} tabIndex={stop} aria-expanded={opened === orderId} onClick={() => toggle(orderId)}>
      {text}
    </button>
  )
}

/** How many tickets hang beyond the right edge. It scrolls there; for a keyboard the arrows do. */
function More({ list, count }: { list: { readonly current: HTMLOListElement | null }; count: number }) {
  const hidden = useSignal(0)
  useEffect(() => {
    const rail = list.current
    if (rail === null) return
    const look = () => {
      const edge = rail.getBoundingClientRect().right
      const tickets = [...rail.querySelectorAll('.ticket')]
      hidden.value = tickets.filter(ticket => ticket.getBoundingClientRect().left + 24 > edge).length
    }
    look()
    const watch = new ResizeObserver(look)
    watch.observe(rail)
    rail.addEventListener('scroll', look, { passive: true })
    return () => (watch.disconnect(), rail.removeEventListener('scroll', look))
  }, [count])
  if (hidden.value === 0) return null
  return (
    <button
      type="button"
      class="more num"
      tabIndex={-1}
      aria-label={t('more_title', { count: hidden.value })}
      onClick={() => list.current?.scrollBy({ left: innerWidth * 0.7 })}
    >
      {t('more', { count: hidden.value })}
    </button>
  )
}
