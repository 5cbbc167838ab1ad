// Liquids: what the label says, the density in one of several ways, how it looks.
import { get, put, remove } from '../../../api/api.ts'
import type { Allergen, LiquidBody, LiquidView, Origin } from '../../../api/schema.ts'
import { figure } from '../../../i18n/format.ts'
import { liquids } from '../../../live/bar.ts'
import { t as drinkText } from '../../drinks/messages.ts'
import { useEditor, type Editor, type Kind, type Stored } from '../editor.ts'
import { ChoiceField, controlId, FigureField, NoteField, TextField } from '../fields.tsx'
import { Listing } from '../listing.tsx'
import { Acts, IdField, Sheet } from '../sheet.tsx'
import { figureOf, orNull, typed } from '../typed.ts'
import { t } from './messages.ts'

/** How the density is given. */
const WAYS = ['composition', 'stated', 'brix', 'volume', 'bottle'] as const
type Way = (typeof WAYS)[number]

const ALLERGENS = ['gluten', 'crustaceans', 'eggs', 'fish', 'peanuts', 'soybeans', 'milk', 'nuts', 'celery', 'mustard', 'sesame', 'sulphites', 'lupin', 'molluscs'] as const satisfies readonly Allergen[]
const NO_COLOUR = '#999999'

interface Draft {
  readonly name: string
  readonly abv_percent: string
  readonly sugar_g_per_l: string
  readonly cost_per_l: string
  readonly serving_c: string
  /** Empty: found by the daemon. */
  readonly colour: string
  readonly note: string
  /** Null: not checked. */
  readonly allergens: readonly Allergen[] | null
  readonly way: Way
  readonly density_g_per_ml: string
  readonly density_uncertainty_g_per_ml: string
  readonly density_at_c: string
  /** Where the density comes from, as long as nobody changes it; empty: from whoever types. */
  readonly density_origin: Origin | ''
  readonly brix: string
  readonly net_g: string
  readonly volume_ml: string
  readonly full_g: string
  readonly empty_g: string
  readonly content_ml: string
}

const BLANK: Draft = {
  name: '',
  abv_percent: '',
  sugar_g_per_l: '',
  cost_per_l: '',
  serving_c: '20',
  colour: '',
  note: '',
  allergens: null,
  way: 'composition',
  density_g_per_ml: '',
  density_uncertainty_g_per_ml: '',
  density_at_c: '20',
  density_origin: '',
  brix: '',
  net_g: '',
  volume_ml: '',
  full_g: '',
  empty_g: '',
  content_ml: '',
}

/** Which follow from strength and sugar, and from any formula. */
const FOLLOWS: readonly (Origin | '')[] = ['water', 'strength', 'strength and sugar']
const FORMULAS: readonly (Origin | '')[] = [...FOLLOWS, 'brix']

const stored = (view: LiquidView): Stored<Draft> => ({
  draft: {
    ...BLANK,
    name: view.name,
    abv_percent: typed(view.abv_percent),
    sugar_g_per_l: typed(view.sugar_g_per_l),
    cost_per_l: typed(view.cost_per_l),
    serving_c: typed(view.serving_c),
    colour: view.colour ?? '',
    note: view.note,
    allergens: view.allergens,
    way: FOLLOWS.includes(view.density_origin) ? 'composition' : 'stated',
    density_g_per_ml: typed(view.density_g_per_ml),
    density_uncertainty_g_per_ml: typed(view.density_uncertainty_g_per_ml),
    density_at_c: typed(view.density_at_c),
    density_origin: view.density_origin,
  },
  etag: view.etag,
  active: view.active,
})

function bodyOf(draft: Draft): LiquidBody {
  const { way } = draft
  return {
    name: draft.name,
    abv_percent: figureOf(draft.abv_percent),
    sugar_g_per_l: way === 'brix' ? null : figureOf(draft.sugar_g_per_l),
    cost_per_l: figureOf(draft.cost_per_l),
    serving_c: figureOf(draft.serving_c) ?? 20,
    colour: orNull(draft.colour),
    note: draft.note,
    allergens: draft.allergens,
    density_at_c: figureOf(draft.density_at_c) ?? 20,
    ...(way === 'stated' && {
      density_g_per_ml: figureOf(draft.density_g_per_ml),
      density_uncertainty_g_per_ml: figureOf(draft.density_uncertainty_g_per_ml),
      density_origin: draft.density_origin === '' ? null : draft.density_origin,
    }),
    ...(way === 'brix' && { brix: figureOf(draft.brix) }),
    ...(way === 'volume' && { weighed: { net_g: figureOf(draft.net_g) as number, volume_ml: figureOf(draft.volume_ml) as number } }),
    ...(way === 'bottle' && {
      weighed: { full_g: figureOf(draft.full_g) as number, empty_g: figureOf(draft.empty_g) as number, content_ml: figureOf(draft.content_ml) as number },
    }),
  }
}

/** A density that a formula gave holds no longer when what the formula takes has changed, or the density itself. */
function follow(draft: Draft, different: Partial<Draft>): Draft {
  if ('density_g_per_ml' in different) return { ...draft, density_origin: '' }
  if (!('abv_percent' in different || 'sugar_g_per_l' in different) || !FORMULAS.includes(draft.density_origin)) return draft
  return { ...draft, way: draft.way === 'stated' ? 'composition' : draft.way, density_origin: '' }
}

const allergensOf = ({ allergens }: Draft): string =>
  allergens === null ? t('not_checked') : allergens.length === 0 ? t('none_declared') : allergens.map(allergen => drinkText(allergen)).join(', ')

const kind: Kind<Draft> = {
  what: 'liquids',
  read: async liquid_id => stored(await get('/v1/liquids/{liquid_id}', { at: { liquid_id } })),
  put: async (liquid_id, draft, headers) => stored(await put('/v1/liquids/{liquid_id}', { at: { liquid_id }, body: bodyOf(draft), headers })),
  remove: (liquid_id, headers) => remove('/v1/liquids/{liquid_id}', { at: { liquid_id }, headers }),
  blank: () => BLANK,
  follow,
  lines: draft => [
    [t('name'), draft.name],
    [t('abv_percent'), draft.abv_percent],
    [t('sugar_g_per_l'), draft.sugar_g_per_l],
    [t('density_g_per_ml'), draft.density_g_per_ml],
    [t('allergens'), allergensOf(draft)],
    [t('cost_per_l'), draft.cost_per_l],
    [t('serving_c'), draft.serving_c],
    [t('colour'), draft.colour],
    [t('note'), draft.note],
  ],
}

const factsOf = ({ abv_percent, density_g_per_ml }: LiquidView): string =>
  [...(abv_percent === null ? [] : [drinkText('strength', { strength: figure(abv_percent, 1) })]), `${figure(density_g_per_ml, 3)}\u00a0g/ml`].join(', ')

const Swatch = ({ colour }: { colour: string }) => (
  <svg class="swatch" viewBox="0 0 10 10" aria-hidden="true">
    <rect x="0.5" y="0.5" width="9" height="9" fill={colour} />
  </svg>
)

export const Liquids = () => (
  <Listing
    what="liquids"
    rows={async () =>
      (await get('/v1/liquids', { query: { retired: true } })).map(liquid => ({
        id: liquid.id,
        name: liquid.name,
        figure: factsOf(liquid),
        active: liquid.active,
        picture: <Swatch colour={liquid.shown_colour} />,
      }))
    }
  />
)

export function Liquid({ id }: { id: string | null }) {
  const editor = useEditor(kind, id)
  return (
    <Sheet editor={editor} title={editor.draft.value?.name || t('new_liquid')} layout="cols side">
      <div class="form">
        <TextField editor={editor} name="name" label={t('name')} class="large" />
        <IdField editor={editor} />
        <div class="pair">
          <FigureField editor={editor} name="abv_percent" label={t('abv_percent')} hint={t('abv_hint')} />
          {editor.draft.value?.way !== 'brix' && <FigureField editor={editor} name="sugar_g_per_l" label={t('sugar_g_per_l')} hint={t('unknown_hint')} />}
        </div>
        <h2 class="sect">{t('density')}</h2>
        <Density editor={editor} />
        <Allergens editor={editor} />
        <h2 class="sect">{t('further')}</h2>
        <div class="pair">
          <FigureField editor={editor} name="serving_c" label={t('serving_c')} />
          <FigureField editor={editor} name="cost_per_l" label={t('cost_per_l')} />
        </div>
        <Colour editor={editor} />
        <NoteField editor={editor} label={t('note')} />
      </div>
      <aside class="sum">
        <p class="small">{t('label_caution')}</p>
        <Acts editor={editor} />
      </aside>
    </Sheet>
  )
}

function Density({ editor }: { editor: Editor<Draft> }) {
  const way = editor.draft.value?.way
  const byFormula = way === 'stated' && editor.draft.value?.density_origin === 'brix'
  return (
    <>
      <ChoiceField
        editor={editor}
        name="way"
        label={t('way')}
        choices={WAYS.map(value => ({ value, name: t(`way_${value}`) }))}
        hint={way === 'composition' ? t('composition_hint') : byFormula ? t('brix_origin_hint') : undefined}
      />
      <div class="pair">
        {way === 'stated' && (
          <>
            <FigureField editor={editor} name="density_g_per_ml" label={t('density_g_per_ml')} />
            <FigureField editor={editor} name="density_uncertainty_g_per_ml" label={t('density_uncertainty_g_per_ml')} hint={t('uncertainty_hint')} />
          </>
        )}
        {way === 'brix' && <FigureField editor={editor} name="brix" label={t('brix')} hint={t('brix_hint')} />}
        {way === 'volume' && (
          <>
            <FigureField editor={editor} name="net_g" pointer="/weighed/net_g" label={t('net_g')} />
            <FigureField editor={editor} name="volume_ml" pointer="/weighed/volume_ml" label={t('volume_ml')} />
          </>
        )}
        {way === 'bottle' && (
          <>
            <FigureField editor={editor} name="full_g" pointer="/weighed/full_g" label={t('full_g')} />
            <FigureField editor={editor} name="empty_g" pointer="/weighed/empty_g" label={t('empty_g')} />
            <FigureField editor={editor} name="content_ml" pointer="/weighed/content_ml" label={t('content_ml')} />
          </>
        )}
        <FigureField editor={editor} name="density_at_c" label={t('density_at_c')} />
      </div>
    </>
  )
}

function Allergens({ editor }: { editor: Editor<Draft> }) {
  const named = editor.draft.value?.allergens ?? null
  const toggle = (allergen: Allergen) =>
    editor.change({ allergens: named?.includes(allergen) ? named.filter(found => found !== allergen) : ALLERGENS.filter(found => found === allergen || named?.includes(found)) })
  return (
    <fieldset>
      <legend class="sect">{t('allergens')}</legend>
      <label class="tick">
        <input type="checkbox" checked={named !== null} onChange={event => editor.change({ allergens: event.currentTarget.checked ? [] : null })} />
        <span>{t('checked')}</span>
      </label>
      {named === null ? (
        <p class="small">{t('not_checked_hint')}</p>
      ) : (
        <div class="ticks">
          {ALLERGENS.map(allergen => (
            <label class="tick" key={allergen}>
              <input type="checkbox" checked={named.includes(allergen)} onChange={() => toggle(allergen)} />
              <span>{drinkText(allergen)}</span>
            </label>
          ))}
        </div>
      )}
    </fieldset>
  )
}

/** The browser's own picker; without a choice the daemon finds one unlike the others. */
function Colour({ editor }: { editor: Editor<Draft> }) {
  const chosen = editor.draft.value?.colour ?? ''
  const found = liquids.value.find(liquid => liquid.id === editor.id.value)?.shown_colour ?? NO_COLOUR
  const id = controlId('/colour')
  return (
    <div class="field colour">
      <label for={id}>{t('colour')}</label>
      <input id={id} type="color" value={chosen || found} onInput={event => editor.change({ colour: event.currentTarget.value })} />
      <label class="tick">
        <input type="checkbox" checked={chosen === ''} onChange={event => editor.change({ colour: event.currentTarget.checked ? '' : found })} />
        <span>{t('colour_found')}</span>
      </label>
    </div>
  )
}
