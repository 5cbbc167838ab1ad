// What the glass holds after a pour, by the scale.
import type { InGlassView } from '../../api/schema.ts'
import { figure, grams, millilitres } from '../../i18n/format.ts'
import { language } from '../../i18n/language.ts'
import { liquids } from '../../live/bar.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { t as drinks } from '../drinks/messages.ts'
import { t } from './messages.ts'

export function InGlass({ held }: { held: InGlassView }) {
  const known = (is: boolean, text: string) => (is ? text : t('not_known'))
  const listed = (words: readonly string[]) => new Intl.ListFormat(language.value, { type: 'unit' }).format(words)
  const gaps = held.allergens_unknown.map(id => liquids.value.find(liquid => liquid.id === id)?.name ?? id)
  const rows = [
    [t(held.by_hand ? 'volume_by_hand' : 'volume'), millilitres(held.volume_ml)],
    [t('strength'), known(held.strength_known, drinks('strength', { strength: figure(held.strength_percent_vol, 1) }))],
    [t('standard_drinks'), known(held.strength_known, figure(held.standard_drinks, 1))],
    [t('ethanol'), known(held.strength_known, grams(held.ethanol_g))],
    [t('sugar'), known(held.sugar_known, grams(held.sugar_g))],
    [t('allergens'), held.allergens.length === 0 ? t('none_declared') : listed(held.allergens.map(allergen => drinks(allergen)))],
  ] as const
  return (
    <>
      <h2 class="sect">{t('in_glass')}</h2>
      <dl class="pairs">
        {rows.map(([name, value]) => (
          <div class="lead" key={name}>
            <dt>{name}</dt>
            <dd class="num">{value}</dd>
          </div>
        ))}
      </dl>
      {gaps.length > 0 && (
        <p class="small">
          <span class="mark-n">
            <OpenTriangle />
            {drinks('not_checked', { parts: listed(gaps) })}
          </span>
        </p>
      )}
    </>
  )
}
