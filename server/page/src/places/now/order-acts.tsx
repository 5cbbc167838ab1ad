// The buttons of an order that waits: begin with it alone, or with all that wait.
import { duration } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { BeginRound } from '../../parts/begin-round.tsx'
import { t } from './messages.ts'
import type { Offer } from './next-order.ts'

export function OrderActs({ offer }: { offer: Offer }) {
  const { orders, check } = offer
  const [first] = orders
  if (first === undefined) return null
  const short = new Set(check.short.map(found => found.glass))
  const begin = t('begin_order', { number: first.number })
  const reasons = [...new Set(check.short.flatMap(found => found.reasons.map(reason => `${found.name}: ${reason}`)))]
  const possible = check.possible
  return (
    <>
      <div class="acts">
        {short.has(1) ? (
          <button type="button" class="big" aria-disabled="true">
            {begin}
          </button>
        ) : (
          <BeginRound class="solid big" wanted={{ glasses: [], orders: [first.number], auto_start: true, allow_short: false }}>
            {begin}
          </BeginRound>
        )}
        {orders.length > 1 && possible > 0 && (
          <BeginRound
            class="big"
            wanted={{ glasses: [], orders: orders.map(order => order.number), auto_start: true, allow_short: possible < orders.length }}
          >
            {possible < orders.length ? t('begin_some', { possible, count: orders.length }) : t('begin_all', { count: orders.length })}
          </BeginRound>
        )}
      </div>
      {reasons.length > 0 && (
        <ul class="then" lang={apiLang.value}>
          {reasons.map(reason => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
      )}
      {short.has(1) && <p class="then small">{t('order_short')}</p>}
      {orders.length > 1 && reasons.length === 0 && (
        <p class="then small">
          {check.time_s === null ? '' : `${t('all_take', { count: orders.length, time: duration(Math.ceil(check.time_s / 10) * 10) })} `}
          {t('all_there')}
        </p>
      )}
    </>
  )
}
