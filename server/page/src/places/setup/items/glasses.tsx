// Glasses: capacity, what stays free, the masses that tell an empty one, and the inside that is drawn.
import { get, put, remove } from '../../../api/api.ts'
import type { GlassBody, GlassView } from '../../../api/schema.ts'
import { millilitres } from '../../../i18n/format.ts'
import { shapeOf, volumeAt } from '../../../parts/glass-geometry.ts'
import { Glass as Drawing } from '../../../parts/glass.tsx'
import { OpenTriangle } from '../../../parts/marks.tsx'
import { useEditor, type Editor, type Kind, type Stored } from '../editor.ts'
import { FigureField, TextField } from '../fields.tsx'
import { Listing } from '../listing.tsx'
import { Acts, IdField, Sheet } from '../sheet.tsx'
import { figureOf, typed } from '../typed.ts'
import { t } from './messages.ts'

const FIGURES = ['brim_ml', 'headroom_ml', 'lightest_g', 'heaviest_g', 'rim_mm', 'base_mm', 'height_mm'] as const
type Figure = (typeof FIGURES)[number]
type Draft = Readonly<Record<Figure, string>> & { readonly name: string }

/** More apart than this, and the drawing or the brim is wrong; as the daemon warns. */
const APART = 0.05

const stored = (view: GlassView): Stored<Draft> => ({
  draft: { name: view.name, ...eachFigure(name => typed(view[name])) },
  etag: view.etag,
  active: view.active,
})

const eachFigure = <T,>(value: (name: Figure) => T) => Object.fromEntries(FIGURES.map(name => [name, value(name)])) as Record<Figure, T>

const kind: Kind<Draft> = {
  what: 'glasses',
  read: async glass_id => stored(await get('/v1/glasses/{glass_id}', { at: { glass_id } })),
  put: async (glass_id, draft, headers) =>
    stored(await put('/v1/glasses/{glass_id}', { at: { glass_id }, body: { name: draft.name, ...eachFigure(name => figureOf(draft[name])) } as GlassBody, headers })),
  remove: (glass_id, headers) => remove('/v1/glasses/{glass_id}', { at: { glass_id }, headers }),
  blank: () => ({ name: '', ...eachFigure(() => '') }),
  lines: draft => [[t('name'), draft.name], ...FIGURES.map(name => [t(name), draft[name]] as const)],
}

export const Glasses = () => (
  <Listing
    what="glasses"
    rows={async () =>
      (await get('/v1/glasses', { query: { retired: true } })).map(glass => ({ id: glass.id, name: glass.name, figure: millilitres(glass.brim_ml), active: glass.active }))
    }
  />
)

export function Glass({ id }: { id: string | null }) {
  const editor = useEditor(kind, id)
  return (
    <Sheet editor={editor} title={editor.draft.value?.name || t('new_glass')} layout="cols recipe">
      <div class="picw">
        <Picture editor={editor} />
      </div>
      <div class="form">
        <TextField editor={editor} name="name" label={t('name')} class="large" />
        <IdField editor={editor} />
        <div class="pair">
          <FigureField editor={editor} name="brim_ml" label={t('brim_ml')} hint={t('brim_hint')} />
          <FigureField editor={editor} name="headroom_ml" label={t('headroom_ml')} hint={t('headroom_hint')} />
        </div>
        <h2 class="sect">{t('empty_mass')}</h2>
        <p class="small after">{t('empty_mass_hint')}</p>
        <div class="pair">
          <FigureField editor={editor} name="lightest_g" label={t('lightest_g')} />
          <FigureField editor={editor} name="heaviest_g" label={t('heaviest_g')} />
        </div>
        <h2 class="sect">{t('inside')}</h2>
        <p class="small after">{t('inside_hint')}</p>
        <div class="pair three">
          <FigureField editor={editor} name="rim_mm" label={t('rim_mm')} />
          <FigureField editor={editor} name="base_mm" label={t('base_mm')} />
          <FigureField editor={editor} name="height_mm" label={t('height_mm')} />
        </div>
      </div>
      <aside class="sum">
        <Acts editor={editor} />
      </aside>
    </Sheet>
  )
}

/** The glass as it is typed, with its fill line; how its inside agrees with its brim. */
function Picture({ editor }: { editor: Editor<Draft> }) {
  const draft = editor.draft.value
  if (draft === null) return null
  const figure = (name: Figure): number | null => {
    const value = figureOf(draft[name])
    return typeof value === 'number' && value > 0 ? value : null
  }
  const brim_ml = figure('brim_ml')
  if (brim_ml === null) return <p class="small">{t('drawn_when')}</p>
  const headroom_ml = Math.min(figure('headroom_ml') ?? 0, brim_ml)
  const shape = shapeOf({ brim_ml, headroom_ml, rim_mm: figure('rim_mm'), base_mm: figure('base_mm'), height_mm: figure('height_mm') })
  const inside_ml = volumeAt(shape, shape.height)
  const apart = shape.to_scale && Math.abs(inside_ml - brim_ml) > APART * brim_ml
  const room = millilitres(brim_ml - headroom_ml)
  const agrees = { inside: millilitres(inside_ml), brim: millilitres(brim_ml) }
  return (
    <>
      <Drawing
        picture={{
          shape,
          layers: [],
          ice: null,
          target: null,
          fill: { name: t('fill_line'), figures: room },
          ghost: false,
          jet: false,
          sentence: t('glass_sentence', { glass: draft.name || t('new_glass'), room }),
          ...(shape.to_scale ? {} : { caption: t('not_to_scale') }),
        }}
      />
      {shape.to_scale && (
        <p class="small after" role="status">
          {apart ? (
            <span class="mark-n">
              <OpenTriangle />
              {t('inside_apart', agrees)}
            </span>
          ) : (
            t('inside_agrees', agrees)
          )}
        </p>
      )}
    </>
  )
}
