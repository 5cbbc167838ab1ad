// The slip of the round being built: who gets what, whether it can be poured, and Begin, in the upper part of the place.
import { useMemo } from 'preact/hooks'
import { post } from '../../api/api.ts'
import type { CheckView } from '../../api/schema.ts'
import { duration } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { machine, refresh } from '../../live/bar.ts'
import { StartButton } from '../../parts/start-button.tsx'
import { open, replace } from '../../router.ts'
import { menu, verdict } from './ask.ts'
import { t } from './messages.ts'
import { addressOf, forGuest, MAX_GUEST, wantedOf, without, type Draft } from './round.ts'

interface Props {
  readonly draft: Draft
  readonly change: (draft: Draft) => void
}

export function Slip({ draft, change }: Props) {
  const count = draft.glasses.length
  return (
    <section class="slip stick" aria-labelledby="slip">
      <h2 id="slip">{count === 0 ? t('round_empty') : t('round', { count })}</h2>
      {count === 0 ? (
        <p class="small">{t('round_how')}</p>
      ) : (
        <>
          <Decision draft={draft} />
          <label class="tick">
            <input type="checkbox" checked={draft.auto_start} onChange={event => change({ ...draft, auto_start: event.currentTarget.checked })} />
            {t('auto_start')}
          </label>
          <ol>
            {draft.glasses.map((glass, place) => (
              <Line key={place} draft={draft} place={place} name={nameOf(glass.recipe_id)} change={change} />
            ))}
          </ol>
        </>
      )}
    </section>
  )
}

const nameOf = (recipe_id: string): string => menu.value?.drinks.find(drink => drink.recipe_id === recipe_id)?.name ?? recipe_id

function Line({ draft, place, name, change }: Props & { readonly place: number; readonly name: string }) {
  return (
    <li class="line">
      <span>{name}</span>
      <input
        aria-label={t('guest_of', { number: place + 1, drink: name })}
        placeholder={t('guest')}
        maxLength={MAX_GUEST}
        autocomplete="off"
        value={draft.glasses[place]?.guest ?? ''}
        onInput={event => change(forGuest(draft, place, event.currentTarget.value))}
      />
      <button type="button" class="plain" aria-label={t('remove_of', { number: place + 1, drink: name })} onClick={() => change(without(draft, place))}>
        {t('remove')}
      </button>
    </li>
  )
}

/** What the daemon says of it, and the button that goes with that. */
function Decision({ draft }: { draft: Draft }) {
  const said = verdict.value
  const busy = machine.value !== null && (machine.value.round_id !== null || machine.value.pour_id !== null)
  const blockers = machine.value?.blockers ?? []
  const check = said.kind === 'checked' ? said.check : null
  return (
    <>
      <div aria-live="polite">
        <p class="sum">{said.kind === 'checked' ? sumOf(said.check) : said.kind === 'wrong' ? t('wrong') : t(said.kind)}</p>
        {said.kind === 'wrong' && <Said reasons={[said.why]} />}
        {check !== null && <Said reasons={[...new Set(check.short.flatMap(short => short.reasons.map(reason => `${short.name}: ${reason}`)))]} />}
        {check?.time_s != null && <p class="small num">{t('about', { time: duration(Math.ceil(check.time_s / 10) * 10) })}</p>}
        {busy && <p class="small">{t('busy')}</p>}
        {!busy && <Said reasons={blockers} />}
      </div>
      <div class="acts">
        {busy ? (
          <a class="btn big" href="/">
            {t('see_now')}
          </a>
        ) : check === null || check.possible === 0 || blockers.length > 0 ? (
          <button type="button" class="big" aria-disabled="true">
            {t('begin')}
          </button>
        ) : (
          <Begin draft={draft} check={check} />
        )}
      </div>
    </>
  )
}

const sumOf = ({ asked, possible }: CheckView): string =>
  possible === asked ? t('all_possible') : t('some_possible', { possible, count: asked })

const Said = ({ reasons }: { reasons: readonly string[] }) => (
  <ul class="reasons small" lang={apiLang.value}>
    {reasons.map(reason => (
      <li key={reason}>{reason}</li>
    ))}
  </ul>
)

/** One round, however often it is pressed: its key is made when the button is shown. */
function Begin({ draft, check }: { draft: Draft; check: CheckView }) {
  const short = check.possible < check.asked
  const wanted = JSON.stringify({ glasses: wantedOf(draft), auto_start: draft.auto_start, allow_short: short })
  const key = useMemo(newKey, [wanted])
  const begin = async () => {
    await post('/v1/rounds', { body: JSON.parse(wanted), headers: { 'Idempotency-Key': key } })
    refresh()
    replace(addressOf({ ...draft, glasses: [] })) // Back must not offer it again
    open('/')
  }
  return (
    <StartButton key={key} class="solid big" order={begin} doing={t('beginning')}>
      {short ? t('begin_short', { count: check.possible }) : t('begin')}
    </StartButton>
  )
}

/** 128 random bits; `randomUUID` is not there on a page without TLS. */
const newKey = (): string => Array.from(crypto.getRandomValues(new Uint8Array(16)), byte => byte.toString(16).padStart(2, '0')).join('')
