// What a recipe makes in its glass, drawn as planned.
import type { DrinkView, GlassView, LiquidView } from '../../../api/schema.ts'
import { grams, millilitres } from '../../../i18n/format.ts'
import { language } from '../../../i18n/language.ts'
import { iceRoom, shapeOf } from '../../../parts/glass-geometry.ts'
import type { Layer, Picture } from '../../../parts/glass.tsx'
import { t } from './messages.ts'

export function pictureOf(plan: DrinkView, glasses: readonly GlassView[], liquids: readonly LiquidView[]): Picture {
  const glass = glasses.find(found => found.id === plan.glass_id)
  const liquid = (id: string | null) => liquids.find(found => found.id === id)
  const layers = plan.steps.flatMap((step, index): Layer[] => {
    if (step.volume_ml <= 0 || (step.kind === 'hand' && step.hand === 'ice')) return []
    const name = liquid(step.liquid_id)?.name ?? (step.kind === 'hand' ? step.what : step.liquid_id)
    const figures = millilitres(step.volume_ml)
    return [
      {
        key: String(index),
        ml: step.volume_ml,
        g: step.kind === 'dose' ? step.target_g : step.mass_g || step.volume_ml,
        colour: liquid(step.liquid_id)?.shown_colour ?? null,
        when: 'in',
        name,
        figures: step.kind === 'dose' ? figures : t('figures_by_hand', { figures }),
      },
    ]
  })
  const ices = plan.steps.filter(step => step.kind === 'hand' && step.hand === 'ice')
  const ice_g = ices.reduce((sum, step) => sum + (step.kind === 'hand' ? step.mass_g : 0), 0)
  const first = ices[0]
  const ice = ice_g > 0 && first?.kind === 'hand' ? { g: ice_g, what: first.what, in: true } : null
  const ml = layers.reduce((sum, layer) => sum + layer.ml, 0)
  const needed_ml = ml + iceRoom(ice_g, layers.reduce((sum, layer) => sum + layer.g, 0), ml)
  const shape = shapeOf(glass ?? { brim_ml: Math.max(320, Math.ceil((needed_ml * 1.2) / 100) * 100) })
  const free_ml = shape.brim_ml - shape.headroom_ml - needed_ml
  const parts = [...layers.map(layer => t('some_of', { figures: layer.figures, name: layer.name })), ...(ice === null ? [] : [t('ice_of', { what: ice.what, mass: grams(ice.g) })])]
  const contents = new Intl.ListFormat(language.value, { type: 'unit' }).format(parts)
  const free = free_ml >= 0 ? t('free', { volume: millilitres(free_ml) }) : t('too_much', { volume: millilitres(-free_ml) })
  const name = glass?.name ?? t('any_glass')
  return {
    shape,
    layers,
    ice,
    target: null,
    ...(glass === undefined ? {} : { fill: { name: t('fill_line'), figures: free } }),
    ghost: false,
    jet: false,
    sentence: glass === undefined ? t('recipe_sentence', { glass: name, contents }) : t('recipe_sentence_free', { glass: name, contents, free }),
    ...(shape.to_scale ? {} : { caption: t('not_to_scale') }),
  }
}
