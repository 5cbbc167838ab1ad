// One drink of the guests' menu. It opens in place: seat, then the order.
import { useSignal } from '@preact/signals'
import { useMemo } from 'preact/hooks'
import { post, Refusal } from '../../api/api.ts'
import { newKey } from '../../api/idempotency.ts'
import type { GuestDrinkView } from '../../api/schema.ts'
import { figure, millilitres } from '../../i18n/format.ts'
import { apiLang, language } from '../../i18n/language.ts'
import { kept } from '../../kept.ts'
import { shapeOf, someShape, type Shape } from '../../parts/glass-geometry.ts'
import { Mini } from '../../parts/mini.tsx'
import { open } from '../../router.ts'
import { t as drinkText } from '../drinks/messages.ts'
import { MAX_GUEST } from '../drinks/round.ts'
import { keep, menu } from './follow.ts'
import { t } from './messages.ts'
import { mayRing } from './ring.ts'

const seat = kept('seat')

interface Props {
  readonly drink: GuestDrinkView
  /** That of the whole menu, see `windowOf`. */
  readonly window: string
  readonly opened: boolean
  readonly toggle: () => void
}

/** The glass of a drink; one that it has room in where its recipe names none. */
export const glassOf = ({ glass, volume_ml }: GuestDrinkView): Shape => (glass === null ? someShape(volume_ml) : shapeOf(glass))

/** Guests are told shares of the volume; the mass counts only for how deep ice sinks. */
function sectionOf(drink: GuestDrinkView) {
  const layers = drink.layers.map(({ share, colour }) => ({ ml: share * drink.volume_ml, g: share * drink.volume_ml, colour }))
  return { shape: glassOf(drink), layers, ice_g: drink.ice_g }
}

export function Drink({ drink, window, opened, toggle }: Props) {
  const mayOrder = menu.value?.may_order === true
  return (
    <li class="drink">
      <Mini section={sectionOf(drink)} window={window} />
      <div>
        <h3>{drink.name}</h3>
        <p class="small num">{factsOf(drink)}</p>
        {!drink.strength_known && <p class="small">{t('strength_unknown')}</p>}
        <p class="small">{allergensOf(drink)}</p>
      </div>
      {mayOrder && (
        <div class="get">
          <button type="button" aria-expanded={opened} aria-label={opened ? undefined : t('order_of', { drink: drink.name })} onClick={toggle}>
            {opened ? t('close') : t('order')}
          </button>
        </div>
      )}
      {mayOrder && opened && <OrderOne drink={drink} done={toggle} />}
    </li>
  )
}

function factsOf(drink: GuestDrinkView): string {
  const currency = menu.value?.currency ?? null
  const price = drink.price === null ? null : priceOf(drink.price, currency)
  const alcohol = drink.strength_known && !drink.without_alcohol
  return [
    ...(alcohol ? [t('strength', { strength: figure(drink.strength_percent_vol, 1) }), t('units', { units: figure(drink.standard_drinks, 1) })] : []),
    millilitres(drink.volume_ml),
    ...(drink.sugar_known ? [t('sugar', { mass: figure(drink.sugar_g, 0) })] : []),
    ...(price === null ? [] : [price]),
  ].join(', ')
}

const priceOf = (price: number, currency: string | null): string =>
  currency === null ? t('price', { price: figure(price, 2) }) : new Intl.NumberFormat(language.value, { style: 'currency', currency }).format(price)

function allergensOf(drink: GuestDrinkView): string {
  const named = new Intl.ListFormat(language.value, { type: 'unit' }).format(drink.allergens.map(allergen => drinkText(allergen)))
  const gap = drink.allergens_known ? [] : [t('ask_bar')]
  if (named === '') return gap[0] ?? t('no_allergens')
  return [t('contains', { allergens: named }), ...gap].join('. ')
}

/** One order, however often it is pressed: its key goes with the drink and the seat. */
function OrderOne({ drink, done }: { drink: GuestDrinkView; done: () => void }) {
  const busy = useSignal(false)
  const why = useSignal<{ readonly said: string; readonly lang?: string } | null>(null)
  const guest = seat.value.trim()
  const key = useMemo(newKey, [guest])
  const order = async (event: Event) => {
    event.preventDefault()
    if (busy.value) return
    if (guest === '') {
      why.value = { said: t('seat_missing') }
      return
    }
    mayRing()
    busy.value = true
    why.value = null
    try {
      const made = await post('/v1/guest/orders', { body: { recipe_id: drink.recipe_id, guest }, headers: { 'Idempotency-Key': key } })
      keep(made)
      done()
      open(`/menu/orders/${made.id}`)
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      why.value = error.problem.status === 0 ? { said: t('unanswered') } : { said: error.problem.detail, ...(apiLang.value === undefined ? {} : { lang: apiLang.value }) }
    } finally {
      busy.value = false
    }
  }
  return (
    <form class="why" onSubmit={event => void order(event)}>
      <div class="field">
        <label for="seat">{t('seat')}</label>
        <input
          id="seat"
          autocomplete="off"
          maxLength={MAX_GUEST}
          aria-describedby="seat-hint"
          value={seat.value}
          onInput={event => (seat.value = event.currentTarget.value)}
        />
        <p class="small" id="seat-hint">
          {t('seat_hint')}
        </p>
      </div>
      <p role="alert" lang={why.value?.lang}>
        {why.value?.said}
      </p>
      <div class="acts">
        <button type="submit" class="solid big" aria-disabled={busy.value}>
          {busy.value ? t('ordering') : t('order_one')}
        </button>
      </div>
    </form>
  )
}
