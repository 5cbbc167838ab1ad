// Recipes: steps in their order, the glass as it comes out, what it makes.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { get, put, remove } from '../../../api/api.ts'
import type { DrinkView, RecipeView } from '../../../api/schema.ts'
import { figure, grams, millilitres } from '../../../i18n/format.ts'
import { apiLang, language } from '../../../i18n/language.ts'
import { glasses, liquids } from '../../../live/bar.ts'
import { Glass as Drawing } from '../../../parts/glass.tsx'
import { OpenTriangle } from '../../../parts/marks.tsx'
import { t as drinkText } from '../../drinks/messages.ts'
import { useEditor, type Editor, type Kind, type Stored } from '../editor.ts'
import { ChoiceField, Choices, controlId, Field, FigureField, NoteField, TextField } from '../fields.tsx'
import { Listing } from '../listing.tsx'
import { Pair } from '../pair.tsx'
import { Acts, IdField, Sheet } from '../sheet.tsx'
import { glassChoices, glassName, liquidChoices, liquidName } from './choices.ts'
import { t } from './messages.ts'
import { useCheck, type Checked } from './recipe-check.ts'
import { blank, bodyOf, bringsLiquid, changed, draftOf, HANDS, linesOf, moved, withoutStep, withStep, type Draft, type Step } from './recipe-draft.ts'
import { pictureOf } from './recipe-picture.ts'

const stored = (view: RecipeView): Stored<Draft> => ({ draft: draftOf(view), etag: view.etag, active: view.active })

const kind: Kind<Draft> = {
  what: 'recipes',
  read: async recipe_id => stored(await get('/v1/recipes/{recipe_id}', { at: { recipe_id } })),
  put: async (recipe_id, draft, headers) => stored(await put('/v1/recipes/{recipe_id}', { at: { recipe_id }, body: bodyOf(draft), headers })),
  remove: (recipe_id, headers) => remove('/v1/recipes/{recipe_id}', { at: { recipe_id }, headers }),
  blank,
  lines: draft => linesOf(draft, liquidName, glassName),
}

export const Recipes = () => (
  <Listing
    what="recipes"
    rows={async () =>
      (await get('/v1/recipes', { query: { retired: true } })).map(recipe => ({
        id: recipe.id,
        name: recipe.name,
        figure: recipe.glass_id === null ? t('any_glass') : glassName(recipe.glass_id),
        active: recipe.active,
      }))
    }
  />
)

export function Recipe({ id }: { id: string | null }) {
  const editor = useEditor(kind, id)
  const draft = editor.draft.value
  const checked = useCheck(draft)
  return (
    <Sheet editor={editor} title={draft?.name || t('new_recipe')} layout="cols recipe">
      <div class="picw">{checked.plan === null ? <p class="small">{t('drawn_with_a_dose')}</p> : <Drawing picture={pictureOf(checked.plan, glasses.value, liquids.value)} />}</div>
      <div class="form">
        <TextField editor={editor} name="name" label={t('name')} class="large" />
        <IdField editor={editor} />
        <div class="pair three">
          <ChoiceField editor={editor} name="glass_id" label={t('served_in')} choices={glassChoices(draft?.glass_id)} />
          <FigureField editor={editor} name="volume_ml" label={t('volume_ml')} hint={t('volume_hint')} />
          <FigureField editor={editor} name="price" label={t('price')} />
        </div>
        <h2 class="sect" id={controlId('/steps')} tabIndex={-1}>
          {t('steps')}
        </h2>
        <Steps editor={editor} plan={checked.wrong === null ? checked.plan : null} />
        <NoteField editor={editor} label={t('note')} />
      </div>
      <aside class="sum">
        <Sum checked={checked} />
        <Acts editor={editor} />
      </aside>
    </Sheet>
  )
}

function Steps({ editor, plan }: { editor: Editor<Draft>; plan: DrinkView | null }) {
  const steps = editor.draft.value?.steps ?? []
  const focus = useSignal<string | null>(null)
  useEffect(() => {
    if (focus.value !== null) document.getElementById(focus.value)?.focus()
    focus.value = null
  }, [focus.value])
  const rearrange = (next: readonly Step[], focused?: string) => {
    editor.change({ steps: next })
    if (focused !== undefined) focus.value = focused
  }
  const add = (kind: Step['kind']) => rearrange(withStep(steps, kind, kind === 'dose' ? (liquids.value[0]?.id ?? '') : ''), controlId(`/steps/${steps.length}/${kind === 'dose' ? 'liquid_id' : 'hand'}`))
  return (
    <>
      <ol>
        {steps.map((step, at) => (
          <StepRow
            key={step.key}
            editor={editor}
            step={step}
            at={at}
            last={at === steps.length - 1}
            planned={plan?.steps.length === steps.length ? plan.steps[at] : undefined}
            rearrange={rearrange}
          />
        ))}
      </ol>
      <div class="acts adding">
        <button type="button" onClick={() => add('dose')}>
          {t('add_dose')}
        </button>
        <button type="button" onClick={() => add('ice')}>
          {t('add_hand')}
        </button>
      </div>
      <p class="small after">{t('amounts_hint')}</p>
      <label class="tick">
        <input
          type="checkbox"
          checked={editor.draft.value?.keep_order ?? false}
          aria-describedby="keep-order-hint"
          onChange={event => editor.change({ keep_order: event.currentTarget.checked })}
        />
        <span>{t('keep_order')}</span>
      </label>
      <p class="small" id="keep-order-hint">
        {t('keep_order_hint')}
      </p>
    </>
  )
}

interface StepProps {
  readonly editor: Editor<Draft>
  readonly step: Step
  readonly at: number
  readonly last: boolean
  readonly planned: DrinkView['steps'][number] | undefined
  readonly rearrange: (steps: readonly Step[], focused?: string) => void
}

function StepRow({ editor, step, at, last, planned, rearrange }: StepProps) {
  const steps = editor.draft.value?.steps ?? []
  const number = at + 1
  const change = (different: Partial<Step>) => rearrange(changed(steps, at, different))
  const faults = editor.faults.value
  const pointer = `/steps/${at}`
  const text = (name: 'amount' | 'what' | 'ice_g', label: string) => (
    <Field pointer={`${pointer}/${name}`} faults={faults} label={label}>
      {described => <input {...described} autocomplete="off" value={step[name]} onInput={event => change({ [name]: event.currentTarget.value })} />}
    </Field>
  )
  const moveButton = (by: -1 | 1) => `step-${step.key}-${by}`
  const move = (by: -1 | 1) => rearrange(moved(steps, at, by), moveButton(by))
  return (
    <li class="rowed">
      <span class="no num" aria-hidden="true">
        {number}
      </span>
      <div class="in" role="group" aria-label={t('step', { number })}>
        <div class={step.kind === 'dose' ? 'what' : 'what hand'}>
          {step.kind !== 'dose' && (
            <Field pointer={`${pointer}/hand`} faults={faults} label={t('by_hand')}>
              {described => (
                <select {...described} value={step.kind} onChange={event => change({ kind: event.currentTarget.value as Step['kind'] })}>
                  <Choices choices={HANDS.map(value => ({ value, name: t(`hand_${value}`) }))} />
                </select>
              )}
            </Field>
          )}
          {step.kind !== 'dose' && text('what', t('what'))}
          {bringsLiquid(step) && (
            <Field pointer={`${pointer}/liquid_id`} faults={faults} label={t(step.kind === 'dose' ? 'from_channel' : 'liquid')}>
              {described => (
                <select {...described} value={step.liquid_id} onChange={event => change({ liquid_id: event.currentTarget.value })}>
                  <Choices choices={liquidChoices(step.liquid_id, step.kind === 'dose' ? undefined : t('undescribed'))} />
                </select>
              )}
            </Field>
          )}
        </div>
        <div>
          {(step.kind === 'dose' || step.kind === 'top_up') && text('amount', t('amount'))}
          {step.kind === 'ice' && text('ice_g', t('ice_g'))}
        </div>
        <div class="mv">
          <button type="button" id={moveButton(-1)} aria-label={t('step_up', { number })} aria-disabled={at === 0} onClick={() => move(-1)}>
            {t('up')}
          </button>
          <button type="button" id={moveButton(1)} aria-label={t('step_down', { number })} aria-disabled={last} onClick={() => move(1)}>
            {t('down')}
          </button>
          <button type="button" aria-label={t('step_remove', { number })} onClick={() => rearrange(withoutStep(steps, at), controlId('/steps'))}>
            {t('remove')}
          </button>
        </div>
      </div>
      <span />
      <p class="small">{plannedText(planned)}</p>
    </li>
  )
}

function plannedText(planned: DrinkView['steps'][number] | undefined): string {
  if (planned === undefined) return ''
  if (planned.kind === 'dose') {
    const amounts = { mass: grams(planned.target_g), volume: millilitres(planned.volume_ml, 1) }
    return planned.channel === null ? t('dose_of', amounts) : t('dose_from', { ...amounts, channel: planned.channel })
  }
  if (planned.hand === 'ice') return t('takes', { volume: millilitres(planned.volume_ml) })
  return planned.volume_ml > 0 ? t('makes', { volume: millilitres(planned.volume_ml, 1) }) : ''
}

/** What it makes, and whether it can be poured; the figures stay while something is wrong, and that is said. */
function Sum({ checked: { plan, wrong } }: { checked: Checked }) {
  return (
    <>
      {plan !== null && (
        <dl class="pairs one">
          <Pair name={t('volume')} value={millilitres(plan.volume_ml, 1)} />
          <Pair name={t('strength')} value={plan.strength_known ? drinkText('strength', { strength: figure(plan.strength_percent_vol, 1) }) : t('not_known')} />
          <Pair name={t('standard_drinks')} value={plan.strength_known ? figure(plan.standard_drinks, 1) : t('not_known')} />
          <Pair name={t('sugar')} value={plan.sugar_known ? grams(plan.sugar_g) : t('not_known')} />
          <Pair name={t('cost')} value={plan.cost === null ? t('not_known') : figure(plan.cost, 2)} />
          <Pair name={t('allergens')} value={allergensOf(plan)} />
        </dl>
      )}
      <div class="after" role="status">
        {wrong !== null ? (
          <p>
            <span class="mark-n">
              <OpenTriangle />
              {t('not_yet')}
            </span>{' '}
            <span lang={apiLang.value}>{wrong}</span>
          </p>
        ) : (
          plan !== null && <Possible plan={plan} />
        )}
      </div>
    </>
  )
}

const Possible = ({ plan }: { plan: DrinkView }) =>
  plan.possible ? (
    <p>{t('can_be_poured')}</p>
  ) : (
    <>
      <p>
        <span class="mark-n">
          <OpenTriangle />
          {t('cannot_be_poured')}
        </span>
      </p>
      <ul class="reasons small" lang={apiLang.value}>
        {plan.blockers.map(blocker => (
          <li key={blocker.message}>{blocker.message}</li>
        ))}
      </ul>
    </>
  )

function allergensOf({ allergens, allergens_unknown }: DrinkView): string {
  const named = new Intl.ListFormat(language.value, { type: 'unit' }).format(allergens.map(allergen => drinkText(allergen)))
  if (allergens_unknown.length > 0) return named === '' ? t('not_checked') : t('partly_checked', { named })
  return named === '' ? t('none_declared') : named
}
