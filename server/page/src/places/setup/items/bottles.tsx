// Bottles as the records know them. What stands on the machine is swapped and weighed under Bottles.
import { get, put, remove } from '../../../api/api.ts'
import type { BottleBody, BottleView } from '../../../api/schema.ts'
import { grams } from '../../../i18n/format.ts'
import { useEditor, type Kind, type Stored } from '../editor.ts'
import { ChoiceField, FigureField } from '../fields.tsx'
import { Listing } from '../listing.tsx'
import { Acts, IdField, Sheet } from '../sheet.tsx'
import { figureOf, typed } from '../typed.ts'
import { liquidChoices, liquidName } from './choices.ts'
import { t } from './messages.ts'

interface Draft {
  readonly liquid_id: string
  readonly full_ml: string
  readonly full_g: string
  readonly low_g: string
  readonly tare_g: string
  /** Of a new bottle; afterwards its ledger counts. */
  readonly content_g: string
  readonly opened_at: string | null
}

const stored = (view: BottleView): Stored<Draft> => ({
  draft: {
    liquid_id: view.liquid_id,
    full_ml: '',
    full_g: typed(view.full_g),
    low_g: typed(view.low_g),
    tare_g: typed(view.tare_g),
    content_g: '',
    opened_at: view.opened_at,
  },
  etag: view.etag,
  active: true,
})

const bodyOf = (draft: Draft): BottleBody => ({
  liquid_id: draft.liquid_id,
  full_ml: figureOf(draft.full_ml),
  full_g: figureOf(draft.full_g),
  low_g: figureOf(draft.low_g),
  tare_g: figureOf(draft.tare_g),
  content_g: figureOf(draft.content_g),
  opened_at: draft.opened_at,
})

const kind: Kind<Draft & { readonly name?: string }> = {
  what: 'bottles',
  read: async bottle_id => stored(await get('/v1/bottles/{bottle_id}', { at: { bottle_id } })),
  put: async (bottle_id, draft, headers) => stored(await put('/v1/bottles/{bottle_id}', { at: { bottle_id }, body: bodyOf(draft), headers })),
  remove: (bottle_id, headers) => remove('/v1/bottles/{bottle_id}', { at: { bottle_id }, headers }),
  blank: () => ({ liquid_id: '', full_ml: '', full_g: '', low_g: '', tare_g: '', content_g: '', opened_at: null }),
  lines: draft => [
    [t('holds'), liquidName(draft.liquid_id)],
    [t('bottle_full_g'), draft.full_g],
    [t('low_g'), draft.low_g],
    [t('tare_g'), draft.tare_g],
  ],
}

const whereIs = ({ channel }: BottleView): string => (channel === null ? t('on_shelf') : t('on_channel', { number: channel }))

export const Bottles = () => (
  <>
    <Listing
      what="bottles"
      rows={async () =>
        (await get('/v1/bottles', { query: { emptied: true } })).map(bottle => ({
          id: bottle.id,
          name: `${liquidName(bottle.liquid_id)}, ${bottle.id}`,
          figure: t('bottle_figure', { mass: grams(bottle.content_g), where: whereIs(bottle) }),
          active: bottle.channel !== null || bottle.content_g > 0,
        }))
      }
    />
    <p class="small lasting">
      {t('swap_under_bottles')} <a href="/bottles">{t('to_bottles')}</a>
    </p>
  </>
)

export function Bottle({ id }: { id: string | null }) {
  const editor = useEditor(kind, id)
  return (
    <Sheet editor={editor} title={id ?? t('new_bottle')} layout="cols side">
      <div class="form">
        <ChoiceField editor={editor} name="liquid_id" label={t('holds')} choices={liquidChoices(editor.draft.value?.liquid_id)} />
        <IdField editor={editor} />
        <div class="pair">
          {id === null ? (
            <FigureField editor={editor} name="full_ml" label={t('bottle_full_ml')} />
          ) : (
            <FigureField editor={editor} name="full_g" label={t('bottle_full_g')} />
          )}
          {id === null && <FigureField editor={editor} name="content_g" label={t('content_g')} hint={t('content_hint')} />}
          <FigureField editor={editor} name="low_g" label={t('low_g')} hint={t('low_hint')} />
          <FigureField editor={editor} name="tare_g" label={t('tare_g')} hint={t('tare_hint')} />
        </div>
      </div>
      <aside class="sum">
        <Acts editor={editor} />
      </aside>
    </Sheet>
  )
}
