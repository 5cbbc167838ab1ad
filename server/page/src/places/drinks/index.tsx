// Drinks: what can be poured, and the round being built of it.
import { useEffect } from 'preact/hooks'
import type { MenuEntryView } from '../../api/schema.ts'
import { grams } from '../../i18n/format.ts'
import { machine } from '../../live/bar.ts'
import { replace, route } from '../../router.ts'
import { t as shellText } from '../../shell/messages.ts'
import type { Place } from '../place.ts'
import { ask, forget, menu } from './ask.ts'
import { groupsOf } from './groups.ts'
import { GuestLink } from './guest-link.tsx'
import { t } from './messages.ts'
import { addressOf, draftOf, GUESTS, type Draft } from './round.ts'
import { Row } from './row.tsx'
import { Slip } from './slip.tsx'

/** While somebody types or presses, the daemon is not asked. */
const CALM_MS = 150
const HASH = '#round'

const View = () => (route.value.path === GUESTS ? <GuestLink /> : <Drinks />)

const Drinks = () => {
  const draft = draftOf(route.value.query)
  const atRound = route.value.hash === HASH
  const drinks = draft.glasses.map(glass => glass.recipe_id).join(',')
  const change = (to: Draft) => replace(addressOf(to, route.value.hash))
  useEffect(forget, [drinks])
  useEffect(() => {
    const timer = setTimeout(() => void ask(draft), CALM_MS)
    return () => clearTimeout(timer)
  }, [addressOf(draft), machine.value])
  const title = t('title')
  useEffect(() => void (document.title = title), [title])
  return (
    <div class={atRound ? 'cols side drinks at-round' : 'cols side drinks'}>
      <h1 class="title">{shellText('drinks')}</h1>
      <p class="acts ways">
        <a class="btn plain" href={GUESTS}>
          {t('guest_link')}
        </a>
        <a class="btn plain" href="/menu">
          {t('guests_see')}
        </a>
      </p>
      <Slip draft={draft} change={change} />
      <div class="menu">
        <Menu draft={draft} change={change} />
      </div>
      <p class="to-round">
        <span>{draft.glasses.length === 0 ? t('round_empty') : t('round', { count: draft.glasses.length })}</span>
        <a class="btn" href={addressOf(draft, atRound ? '' : HASH)}>
          {atRound ? t('see_drinks') : t('see_round')}
        </a>
      </p>
    </div>
  )
}

interface Props {
  readonly draft: Draft
  readonly change: (draft: Draft) => void
}

function Menu({ draft, change }: Props) {
  if (menu.value === null) return <p>{t('asking_menu')}</p>
  const { without_alcohol, with_alcohol, not_now } = groupsOf(menu.value.drinks)
  const part = (title: string, drinks: readonly MenuEntryView[]) =>
    drinks.length > 0 && (
      <>
        <h2 class="sect">{title}</h2>
        <ul>
          {drinks.map(drink => (
            <Row key={drink.recipe_id} drink={drink} draft={draft} change={change} />
          ))}
        </ul>
      </>
    )
  return (
    <>
      {menu.value.drinks.length === 0 && (
        <p>
          {t('no_recipes')} <a href="/setup/recipes">{t('first_recipe')}</a>
        </p>
      )}
      {part(t('without_alcohol'), without_alcohol)}
      {part(t('with_alcohol'), with_alcohol)}
      {part(t('not_now'), not_now)}
      <p class="small note">{t('note', { mass: grams(menu.value.standard_drink_g) })}</p>
    </>
  )
}

export const drinks: Place = { path: '/drinks', name: () => shellText('drinks'), View }
