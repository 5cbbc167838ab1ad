// An order of this phone: where it stands, as a sentence, and a small rail with one's own ticket black.
import { useSignal } from '@preact/signals'
import { remove, Refusal } from '../../api/api.ts'
import type { GuestOrderView } from '../../api/schema.ts'
import { figure, millilitres } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { barNow } from '../../live/clock.ts'
import { replace } from '../../router.ts'
import { forget, isOver, take } from './follow.ts'
import { t } from './messages.ts'

const RAIL_SHOWS = 8

type Standing = 'waiting' | 'next' | 'bar_looks' | 'pouring' | 'ready' | 'collected' | 'taken_back' | 'sent_back'

/** Where an order stands, in the words for guests. */
const standingOf = (order: GuestOrderView): Standing =>
  order.bar_looks && order.state === 'waiting' ? 'bar_looks' : (order.state as Standing)

/** The title of the tab leads with the state. */
export function titleOf(order: GuestOrderView): string {
  const standing = standingOf(order)
  const { number } = order
  switch (standing) {
    case 'waiting':
      return t('title_before', { count: order.before ?? 0, number })
    case 'next':
    case 'pouring':
    case 'ready':
    case 'sent_back':
    case 'bar_looks':
      return t(`title_${standing}`, { number })
    default:
      return t('title_over', { number })
  }
}

export function Slip({ order }: { order: GuestOrderView }) {
  const standing = standingOf(order)
  return (
    <section class="slip" aria-label={t('number', { number: order.number })}>
      <p class="lead">
        <span class="num">{t('number', { number: order.number })}</span>
        <span class="dots" />
        <span>{order.guest}</span>
      </p>
      <div role="status">
        <h1>{standing === 'waiting' ? beforeOf(order) : t(standing)}</h1>
        {order.before !== null && <Queue before={order.before} />}
        <p>{thenOf(order, standing)}</p>
      </div>
      {order.poured !== null && <p class="small num">{t('poured', { facts: pouredOf(order) })}</p>}
      {(order.state === 'waiting' || order.state === 'next') && <TakeBack order={order} />}
      {isOver(order) && (
        <div class="acts">
          <button type="button" onClick={() => seen(order.id)}>
            {t('seen')}
          </button>
        </div>
      )}
    </section>
  )
}

function seen(id: string): void {
  forget(id)
  replace('/menu')
}

function beforeOf({ before }: GuestOrderView): string {
  const count = before ?? 0
  return t('before', { count: t('words').split(' ')[count - 1] ?? count })
}

function Queue({ before }: { before: number }) {
  const shown = Math.min(before, RAIL_SHOWS)
  return (
    <ol class="queue" aria-hidden="true">
      {Array.from({ length: shown }, (_, place) => (
        <li key={place} />
      ))}
      <li class="me" />
    </ol>
  )
}

function thenOf(order: GuestOrderView, standing: Standing): string {
  const { name: drink, number } = order
  switch (standing) {
    case 'waiting': {
      if (order.expected_at === null) return t('no_time', { drink })
      const minutes = (Date.parse(order.expected_at) - barNow().getTime()) / 60_000
      return t('expected', { drink, count: Math.max(1, Math.round(minutes)) })
    }
    case 'ready':
      return t('ready_then', { drink, number })
    case 'sent_back':
      return t('sent_back_then', { drink, reason: order.reason ?? '' })
    default:
      return t(`${standing}_then`, { drink })
  }
}

function pouredOf({ poured }: GuestOrderView): string {
  if (poured === null) return ''
  const alcohol = poured.ethanol_g === 0 ? t('poured_without') : t('strength', { strength: figure(poured.strength_percent_vol, 1) })
  return [millilitres(poured.volume_ml), alcohol, t('sugar', { mass: figure(poured.sugar_g, 0) })].join(', ')
}

function TakeBack({ order }: { order: GuestOrderView }) {
  const busy = useSignal(false)
  const why = useSignal<string | null>(null)
  const takeBack = async () => {
    if (busy.value) return
    busy.value = true
    why.value = null
    try {
      take(await remove('/v1/guest/orders/{order_id}', { at: { order_id: order.id } }))
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      why.value = error.problem.status === 0 ? t('offline_order', { number: order.number }) : error.problem.detail
    } finally {
      busy.value = false
    }
  }
  return (
    <>
      <div class="acts">
        <button type="button" aria-disabled={busy.value} onClick={() => void takeBack()}>
          {busy.value ? t('taking_back') : t('take_back')}
        </button>
      </div>
      <p role="alert" lang={apiLang.value}>
        {why.value}
      </p>
    </>
  )
}
