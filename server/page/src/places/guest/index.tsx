// The guest's page: the menu of the evening, and one's own orders. It knows of no machine, no mass and no other guest.
import { effect, useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import type { GuestDrinkView, GuestOrderView } from '../../api/schema.ts'
import { figure } from '../../i18n/format.ts'
import { Mark } from '../../parts/marks.tsx'
import { windowOf } from '../../parts/mini.tsx'
import { route } from '../../router.ts'
import { useHeight } from '../../shell/use-height.ts'
import { Drink, glassOf } from './drink.tsx'
import { bar, contact, follow, isOver, menu, orders } from './follow.ts'
import { t } from './messages.ts'
import { mayRing, ring, ringing } from './ring.ts'
import { Slip, titleOf } from './slip.tsx'

const ORDER = /^\/menu\/orders\/([^/]+)$/

/** The nearer to the guest's hand, the sooner. */
const NEAREST = ['ready', 'pouring', 'next', 'sent_back', 'waiting']

const TURN = new Set(['next', 'ready', 'sent_back'])

export function Guest() {
  const title = titleNow()
  useEffect(() => void (document.title = title), [title])
  useEffect(() => {
    document.body.classList.add('guest')
    void follow(ORDER.exec(route.peek().path)?.[1] ?? null)
    return ringOnTurn()
  }, [])
  const evening = menu.value?.title ?? ''
  return (
    <>
      <header ref={useHeight('--above')} class="mast">
        <p class="mark">
          <Mark />
          {bar.value}
        </p>
        <p class="clock small">{evening}</p>
      </header>
      <main>{contact.value === 'over' ? <LinkOver /> : <Evening />}</main>
    </>
  )
}

function titleNow(): string {
  const nearest = NEAREST.map(state => orders.value.find(order => order.state === state)).find(order => order !== undefined)
  return nearest === undefined ? t('title', { bar: bar.value }) : titleOf(nearest)
}

function LinkOver() {
  return (
    <>
      <h1 class="title">{t('link_over')}</h1>
      <p>{t('link_over_then')}</p>
      <p class="acts">
        <a class="btn plain" href="/sign-in">
          {t('staff')}
        </a>
      </p>
    </>
  )
}

function Evening() {
  const shown = menu.value
  const own = orders.value
  const waiting = own.find(order => !isOver(order))
  return (
    <>
      <div role="status">
        {contact.value === 'offline' && <p class="notice">{waiting === undefined ? t('offline') : t('offline_order', { number: waiting.number })}</p>}
      </div>
      {own.map(order => (
        <Slip key={order.id} order={order} />
      ))}
      {waiting !== undefined && <Ring />}
      {shown === null ? (
        contact.value === 'asking' && <p>{t('asking')}</p>
      ) : (
        <>
          {own.length === 0 && <h1 class="title">{!shown.open ? t('closed') : shown.may_order ? t('what') : t('no_phone')}</h1>}
          {shown.open && !shown.may_order && <p>{t('no_phone_then')}</p>}
          <Menu drinks={shown.drinks} />
          <p class="small note">{t('note', { mass: figure(shown.standard_drink_g, 1) })}</p>
        </>
      )}
    </>
  )
}

function Menu({ drinks }: { drinks: readonly GuestDrinkView[] }) {
  const opened = useSignal<string | null>(null)
  const window = windowOf(drinks.map(glassOf))
  const part = (title: string, some: readonly GuestDrinkView[]) =>
    some.length > 0 && (
      <>
        <h2 class="sect">{title}</h2>
        <ul>
          {some.map(drink => (
            <Drink
              key={drink.recipe_id}
              drink={drink}
              window={window}
              opened={opened.value === drink.recipe_id}
              toggle={() => (opened.value = opened.value === drink.recipe_id ? null : drink.recipe_id)}
            />
          ))}
        </ul>
      </>
    )
  return (
    <>
      {drinks.length === 0 && <p>{t('nothing')}</p>}
      {part(t('without_alcohol'), drinks.filter(drink => drink.without_alcohol))}
      {part(t('with_alcohol'), drinks.filter(drink => !drink.without_alcohol))}
    </>
  )
}

function Ring() {
  return (
    <label class="tick">
      <input
        type="checkbox"
        checked={ringing.value !== ''}
        onChange={event => {
          ringing.value = event.currentTarget.checked ? 'on' : ''
          mayRing()
        }}
      />
      {t('ring')}
    </label>
  )
}

/** Rings once for each state that calls the guest. */
function ringOnTurn(): () => void {
  let before: readonly GuestOrderView[] | null = null
  return effect(() => {
    const now = orders.value
    const called = now.some(order => TURN.has(order.state) && before?.find(other => other.id === order.id)?.state !== order.state)
    if (before !== null && called) ring()
    before = now
  })
}
