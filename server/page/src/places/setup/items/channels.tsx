// Channels: a pump with its tube, its name, the liquid assigned to it.
import { get, post, put } from '../../../api/api.ts'
import type { ChannelView, ListedChannelView } from '../../../api/schema.ts'
import { flowRate } from '../../../i18n/format.ts'
import { apiLang } from '../../../i18n/language.ts'
import { machine } from '../../../live/bar.ts'
import { OpenTriangle } from '../../../parts/marks.tsx'
import { TwiceButton } from '../../../parts/twice-button.tsx'
import { addressOf } from '../address.ts'
import { useEditor, type Kind, type Stored } from '../editor.ts'
import { ChoiceField, TextField } from '../fields.tsx'
import { Listing, useAskedAtEvents, type Row } from '../listing.tsx'
import { Pair } from '../pair.tsx'
import { Acts, Sheet } from '../sheet.tsx'
import { orNull } from '../typed.ts'
import { liquidChoices, liquidName } from './choices.ts'
import { t } from './messages.ts'

interface Draft {
  readonly name: string
  readonly liquid_id: string
}

const stored = (view: ChannelView): Stored<Draft> => ({ draft: { name: view.name, liquid_id: view.liquid_id ?? '' }, etag: view.etag, active: true })

const kind: Kind<Draft> = {
  what: 'channels',
  read: async number => stored(await get('/v1/channels/{number}', { at: { number } })),
  put: async (number, draft, headers) =>
    stored(await put('/v1/channels/{number}', { at: { number }, body: { name: draft.name, liquid_id: orNull(draft.liquid_id) }, headers })),
  blank: () => ({ name: '', liquid_id: '' }),
  everyId: true,
  lines: draft => [
    [t('name'), draft.name],
    [t('assigned'), draft.liquid_id === '' ? t('no_liquid') : liquidName(draft.liquid_id)],
  ],
}

async function rows(): Promise<Row[]> {
  const known = await get('/v1/channels')
  const last = Math.max(machine.value?.link.board?.channels ?? 0, ...known.map(channel => channel.number))
  return Array.from({ length: last }, (_, index) => {
    const number = index + 1
    const channel = known.find(found => found.number === number)
    const name = channel === undefined ? t('channel_unnamed', { number }) : t('channel_named', { number, name: channel.name })
    const liquid = channel?.liquid_id == null ? t('no_liquid') : liquidName(channel.liquid_id)
    return { id: String(number), name, figure: channel === undefined ? t('not_set_up') : liquid, active: true }
  })
}

export const Channels = () => <Listing what="channels" rows={rows} adds={false} />

export function Channel({ id }: { id: string }) {
  const editor = useEditor(kind, id)
  const channel = useChannel(Number(id))
  const name = editor.draft.value?.name ?? ''
  return (
    <Sheet editor={editor} title={name === '' ? t('channel_unnamed', { number: id }) : t('channel_named', { number: id, name })} layout="cols side">
      <div class="form">
        <TextField editor={editor} name="name" label={t('name')} hint={t('channel_name_hint')} class="large" />
        <ChoiceField
          editor={editor}
          name="liquid_id"
          label={t('assigned')}
          choices={liquidChoices(editor.draft.value?.liquid_id, t('no_liquid'))}
          hint={t('assigned_hint')}
        />
      </div>
      <aside class="sum">
        {channel !== undefined && <Known channel={channel} />}
        <Acts editor={editor} />
        {channel !== undefined && channel.need !== 'new_tube' && <NewTube number={channel.number} />}
      </aside>
    </Sheet>
  )
}

const useChannel = (number: number): ListedChannelView | undefined => {
  const { answer } = useAskedAtEvents('channels', () => get('/v1/channels'))
  return answer?.find(found => found.number === number)
}

/** What the daemon has learned of it, and what it needs. */
const Known = ({ channel }: { channel: ListedChannelView }) => (
  <>
    <dl class="pairs one">
      <Pair name={t('usual_flow')} value={channel.usual_flow_g_per_s === null ? t('never_seen') : flowRate(channel.usual_flow_g_per_s)} />
    </dl>
    {channel.need !== 'none' && (
      <p class="small after">
        <span class="mark-n">
          <OpenTriangle />
        </span>
        <span lang={apiLang.value}>{channel.message}.</span> <a href={addressOf('cleaning')}>{t('to_cleaning')}</a>
      </p>
    )}
  </>
)

/** Says that its tube was changed. */
const NewTube = ({ number }: { number: number }) => (
  <>
    <h2 class="sect">{t('tube')}</h2>
    <p class="small after">{t('new_tube_hint')}</p>
    <div class="acts adding">
      <TwiceButton label={t('new_tube')} question={t('new_tube_now')} doing={t('new_tube_doing')} order={() => post('/v1/channels/{number}/change-tube', { at: { number } })} />
    </div>
  </>
)
