// The slip of the round being built: who gets what, whether it can be poured, and Begin, in the upper part of the place.
import { useMemo } from 'preact/hooks'
import { post } from '../../api/api.ts'
import { newKey } from '../../api/idempotency.ts'
import type { CheckView, RoundBody } from '../../api/schema.ts'
import { duration } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { machine } from '../../live/bar.ts'
import { askQueue, service } from '../../live/queue.ts'
import { BeginRound } from '../../parts/begin-round.tsx'
import { StartButton } from '../../parts/start-button.tsx'
import { open, replace } from '../../router.ts'
import { menu, verdict } from './ask.ts'
import { t } from './messages.ts'
import { addressOf, forGuest, GUESTS, MAX_GUEST, wantedOf, without, type Draft } from './round.ts'

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
          <BeginRound class="solid big" wanted={roundOf(draft, check)} then={() => begun(draft)}>
            {check.possible < check.asked ? t('begin_short', { count: check.possible }) : t('begin')}
          </BeginRound>
        )}
      </div>
      <p class="acts">
        {service.value?.open !== true ? (
          <a class="btn plain" href={GUESTS}>
            {t('hang_closed')}
          </a>
        ) : (
          <HangOnRail draft={draft} class={busy ? 'big' : 'plain'} />
        )}
      </p>
    </>
  )
}

/** Each glass becomes one order, however often it is pressed; the slip is cleared once all of them hang. */
function HangOnRail({ draft, ...rest }: { readonly draft: Draft; readonly class: string }) {
  const wanted = JSON.stringify(wantedOf(draft))
  const keys = useMemo(() => draft.glasses.map(newKey), [wanted])
  const hang = async () => {
    for (const [place, { recipe_id, guest }] of wantedOf(draft).entries())
      await post('/v1/orders', { body: { recipe_id, guest: guest ?? null }, headers: { 'Idempotency-Key': keys[place] ?? '' } })
    await askQueue()
    replace(addressOf({ ...draft, glasses: [] }))
  }
  return (
    <StartButton key={keys[0]} {...rest} order={hang} doing={t('hanging')}>
      {t('hang')}
    </StartButton>
  )
}

const roundOf = (draft: Draft, check: CheckView): RoundBody => ({
  glasses: wantedOf(draft),
  auto_start: draft.auto_start,
  allow_short: check.possible < check.asked,
})

function begun(draft: Draft): void {
  replace(addressOf({ ...draft, glasses: [] })) // Back must not offer it again
  open('/')
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
