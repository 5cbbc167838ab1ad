// One drink of the menu.
import type { DrinkView, MenuEntryView } from '../../api/schema.ts'
import { figure, grams, millilitres } from '../../i18n/format.ts'
import { apiLang, language } from '../../i18n/language.ts'
import { glasses, liquids } from '../../live/bar.ts'
import { shapeOf, someShape } from '../../parts/glass-geometry.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { Mini, windowOf, type Section } from '../../parts/mini.tsx'
import { planKey, plans } from './ask.ts'
import { cureOf, isFree } from './groups.ts'
import { t } from './messages.ts'
import { countOf, MAX_GLASSES, withOne, withoutOne, type Draft } from './round.ts'

interface Props {
  readonly drink: MenuEntryView
  readonly draft: Draft
  readonly change: (draft: Draft) => void
}

export const Row = ({ drink, draft, change }: Props) => (
  <li class="drink">
    <Mini section={sectionOf(plans.value.get(planKey(drink)))} window={windowOf(glasses.value.map(shapeOf))} />
    <div>
      <h3>{drink.name}</h3>
      <p class="small facts num">{factsOf(drink)}</p>
      {!drink.strength_known && <Gap text={t('strength_unknown')} />}
      {!drink.sugar_known && <Gap text={t('sugar_unknown')} />}
      <Allergens drink={drink} />
    </div>
    {drink.possible ? <Get drink={drink} draft={draft} change={change} /> : <Why drink={drink} />}
  </li>
)

function sectionOf(plan: DrinkView | undefined): Section | null {
  if (plan === undefined) return null
  const glass = glasses.value.find(found => found.id === plan.glass_id)
  const colour = (id: string | null) => liquids.value.find(liquid => liquid.id === id)?.shown_colour ?? null
  return {
    shape: glass === undefined ? someShape(plan.volume_ml) : shapeOf(glass),
    layers: plan.steps.flatMap(step => {
      if (step.kind === 'dose') return [{ ml: step.volume_ml, g: step.target_g, colour: colour(step.liquid_id) }]
      return step.hand === 'ice' || step.volume_ml <= 0 ? [] : [{ ml: step.volume_ml, g: step.mass_g, colour: colour(step.liquid_id) }]
    }),
    ice_g: plan.steps.reduce((sum, step) => sum + (step.kind === 'hand' && step.hand === 'ice' ? step.mass_g : 0), 0),
  }
}

function factsOf(drink: MenuEntryView): string {
  const glass = glasses.value.find(found => found.id === drink.glass_id)?.name
  const known = drink.strength_known && !isFree(drink)
  return [
    ...(known ? [t('strength', { strength: figure(drink.strength_percent_vol, 1) })] : []),
    ...(known ? [t('units', { units: figure(drink.standard_drinks, 1) })] : []),
    millilitres(drink.volume_ml),
    ...(drink.sugar_known ? [t('sugar', { mass: grams(drink.sugar_g) })] : []),
    ...(glass === undefined ? [] : [glass]),
  ].join(', ')
}

/** What nobody has told: a gap, not an alarm. */
const Gap = ({ text }: { text: string }) => (
  <p class="small">
    <span class="mark-n">
      <OpenTriangle />
      {text}
    </span>
  </p>
)

function Allergens({ drink }: { drink: MenuEntryView }) {
  const named = drink.allergens.map(allergen => t(allergen))
  const gaps = drink.allergens_unknown.map(id => liquids.value.find(liquid => liquid.id === id)?.name ?? id)
  return (
    <>
      {named.length > 0 && <p class="small">{t('contains', { allergens: listed(named) })}</p>}
      {named.length === 0 && gaps.length === 0 && <p class="small">{t('no_allergens')}</p>}
      {gaps.length > 0 && <Gap text={t('not_checked', { parts: listed(gaps) })} />}
    </>
  )
}

const listed = (words: readonly string[]): string => new Intl.ListFormat(language.value, { type: 'unit' }).format(words)

function Get({ drink, draft, change }: Props) {
  const { recipe_id, name } = drink
  const count = countOf(draft, recipe_id)
  return (
    <div class="get">
      <span class="left small num">{t('left', { count: drink.remaining_now })}</span>
      <span class="step" role="group" aria-label={name}>
        <button type="button" aria-label={t('fewer', { drink: name })} aria-disabled={count === 0} onClick={() => change(withoutOne(draft, recipe_id))}>
          −
        </button>
        <output aria-label={t('in_round', { drink: name })}>{count}</output>
        <button
          type="button"
          aria-label={t('more', { drink: name })}
          aria-disabled={draft.glasses.length >= MAX_GLASSES}
          onClick={() => change(withOne(draft, recipe_id))}
        >
          +
        </button>
      </span>
    </div>
  )
}

function Why({ drink }: { drink: MenuEntryView }) {
  const { cure, href, channel } = cureOf(drink, plans.value.get(planKey(drink)))
  return (
    <div class="why">
      {drink.blockers.map(blocker => (
        <p key={blocker.message} lang={apiLang.value}>
          {blocker.message}
        </p>
      ))}
      <a href={href}>{channel === null ? t(`cure_${cure}`) : t('cure_swap', { channel })}</a>
    </div>
  )
}
