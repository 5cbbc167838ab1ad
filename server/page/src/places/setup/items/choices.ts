// What can be chosen for a field.
import { glasses, liquids } from '../../../live/bar.ts'
import type { Choice } from '../fields.tsx'
import { t } from './messages.ts'

/** What is chosen can be seen, also where it is retired or not yet known; nothing chosen asks for a choice. */
const withChosen = (choices: readonly Choice[], chosen = ''): readonly Choice[] =>
  choices.some(choice => choice.value === chosen) ? choices : [{ value: chosen, name: chosen || t('choose') }, ...choices]

/** `none` is what no liquid is called; without it there must be one. */
export const liquidChoices = (chosen: string | undefined, none?: string): readonly Choice[] =>
  withChosen([...(none === undefined ? [] : [{ value: '', name: none }]), ...liquids.value.map(liquid => ({ value: liquid.id, name: liquid.name }))], chosen)

export const glassChoices = (chosen: string | undefined): readonly Choice[] =>
  withChosen([{ value: '', name: t('any_glass') }, ...glasses.value.map(glass => ({ value: glass.id, name: glass.name }))], chosen)

export const liquidName = (id: string): string => liquids.value.find(liquid => liquid.id === id)?.name ?? id

export const glassName = (id: string): string => glasses.value.find(glass => glass.id === id)?.name ?? id
