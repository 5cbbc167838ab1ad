// An order, opened under the rail: when it came, when it is expected, and what the bar can do with it.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { post } from '../api/api.ts'
import type { OrderView } from '../api/schema.ts'
import { clockTime } from '../i18n/format.ts'
import { askQueue, waiting } from '../live/queue.ts'
import { StartButton } from '../parts/start-button.tsx'
import { t } from './messages.ts'

const MAX_REASON = 200

interface Props {
  readonly order: OrderView
  readonly close: () => void
}

export function OpenTicket({ order, close }: Props) {
  const head = useRef<HTMLHeadingElement>(null)
  useEffect(() => head.current?.focus(), [])
  const { number, name: drink, guest } = order
  const waits = waiting.value.includes(order)
  return (
    <section class="opened" aria-labelledby="opened">
      <h2 id="opened" ref={head} tabIndex={-1}>
        {guest === null ? t('ticket', { number, drink }) : t('ticket_for', { number, drink, guest })}
      </h2>
      <p class="small num">{[t('ordered', { time: clockTime(new Date(order.created_at)) }), ...expectedOf(order)].join(' ')}</p>
      {order.bar_looks && <p class="small">{t('limit')}</p>}
      {waits ? <Waiting order={order} close={close} /> : order.state === 'ready' ? <Ready order={order} close={close} /> : <p class="small">{t('taken')}</p>}
      <button type="button" class="plain shut" onClick={close}>
        {t('close')}
      </button>
    </section>
  )
}

const expectedOf = ({ expected_at }: OrderView): string[] =>
  expected_at === null ? [] : [t('expected', { time: clockTime(new Date(expected_at)) })]

type Move = 'next' | 'later' | 'collected'

const move = (order_id: string, to: Move, close: () => void) => async () => {
  await post(`/v1/orders/{order_id}/${to}`, { at: { order_id } })
  await askQueue()
  close()
}

const Ready = ({ order, close }: Props) => (
  <div class="acts">
    <StartButton class="solid" order={move(order.id, 'collected', close)} doing={t('doing')}>
      {t('collected')}
    </StartButton>
  </div>
)

function Waiting({ order, close }: Props) {
  const reason = useSignal('')
  const sendBack = async () => {
    await post('/v1/orders/{order_id}/send-back', { at: { order_id: order.id }, body: { reason: reason.value } })
    await askQueue()
    close()
  }
  return (
    <>
      <div class="acts">
        <StartButton order={move(order.id, 'next', close)} doing={t('doing')}>
          {t('pour_next')}
        </StartButton>
        <StartButton order={move(order.id, 'later', close)} doing={t('doing')}>
          {t('later')}
        </StartButton>
      </div>
      <div class="back-form">
        <label for="reason">{t('sent_reason')}</label>
        <input
          id="reason"
          list="reasons"
          maxLength={MAX_REASON}
          autocomplete="off"
          value={reason.value}
          onInput={event => (reason.value = event.currentTarget.value)}
        />
        <datalist id="reasons">
          <option value={t('is_out', { drink: order.name })} />
        </datalist>
        {reason.value.trim() === '' ? (
          <button type="button" aria-disabled="true">
            {t('send_back')}
          </button>
        ) : (
          <StartButton order={sendBack} doing={t('doing')}>
            {t('send_back')}
          </StartButton>
        )}
      </div>
    </>
  )
}
