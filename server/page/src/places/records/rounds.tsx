// The rounds, newest first: what was asked for each glass, and what it got.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { RoundGlassView, RoundView } from '../../api/schema.ts'
import { clockTime, duration, grams } from '../../i18n/format.ts'
import { round } from '../../live/bar.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { route } from '../../router.ts'
import { dayOf } from './filters.ts'
import { t as pours } from './messages.ts'
import { longDay } from './names.ts'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'

const SHOWN = 20

export function Rounds() {
  const before = route.value.query.get('before') ?? ''
  const query = before === '' ? { limit: SHOWN } : { limit: SHOWN, before }
  const { answer, refusal } = useAsked(`${before} ${round.value?.id} ${round.value?.state}`, async () => ({
    before,
    rounds: await get('/v1/rounds', { query }),
  }))
  useEffect(() => void (document.title = pours('title', { what: t('rounds') })), [])
  const found = answer?.before === before ? answer.rounds : null
  const last = found?.at(-1)
  return (
    <>
      <h1 class="title">{t('rounds')}</h1>
      {refusal !== null && <p role="alert">{pours('not_read')}</p>}
      {found === null && refusal === null && <p>{pours('asking')}</p>}
      {found?.length === 0 && <p>{t('no_rounds')}</p>}
      {found?.map(shown => <Round shown={shown} key={shown.id} />)}
      <div class="acts">
        {before !== '' && (
          <a class="btn plain" href="/records/rounds">
            {t('newest')}
          </a>
        )}
        {found?.length === SHOWN && last !== undefined && (
          <a class="btn plain" href={`/records/rounds?before=${last.id}`}>
            {t('older')}
          </a>
        )}
      </div>
    </>
  )
}

function Round({ shown }: { shown: RoundView }) {
  const begun = new Date(shown.created_at)
  const values = { day: longDay(dayOf(begun)), time: clockTime(begun), count: shown.glasses.length, state: stateOf(shown.state) }
  const took_s = shown.ended_at === null ? null : (Date.parse(shown.ended_at) - begun.getTime()) / 1000
  return (
    <section aria-labelledby={shown.id}>
      <h2 class="sect" id={shown.id}>
        {t('round_at', values)}
      </h2>
      {took_s !== null && <p class="small">{t('took', { time: duration(took_s) })}</p>}
      <table class="pours" aria-labelledby={shown.id}>
        <thead>
          <tr>
            <th scope="col">{t('glass')}</th>
            <th scope="col">{pours('drink')}</th>
            <th scope="col">{pours('for')}</th>
            <th scope="col" class="r">
              {pours('delivered')}
            </th>
            <th scope="col">{pours('end')}</th>
          </tr>
        </thead>
        <tbody>
          {shown.glasses.map(glass => (
            <Glass glass={glass} key={glass.glass} />
          ))}
        </tbody>
      </table>
    </section>
  )
}

const NORMAL = new Set(['complete', 'under_way', 'waiting'])

function Glass({ glass }: { glass: RoundGlassView }) {
  const pour = glass.pours.at(-1)?.split('/').at(-1)
  return (
    <tr class={pour === undefined ? '' : 'link'}>
      <td class="t num">{glass.glass}</td>
      <td class="d">{pour === undefined ? glass.name : <a href={`/records/pours/${pour}`}>{glass.name}</a>}</td>
      <td class="f">{[glass.guest, glass.order_number === null ? null : t('order', { number: glass.order_number })].filter(Boolean).join(', ')}</td>
      <td class="r m num">{glass.delivered !== null && pours('of', { delivered: grams(glass.delivered.mass_g), target: grams(glass.planned.mass_g) })}</td>
      <td class="s">
        {NORMAL.has(glass.state) ? (
          stateOf(glass.state)
        ) : (
          <span class="mark-w">
            <OpenTriangle />
            {stateOf(glass.state)}
          </span>
        )}
      </td>
    </tr>
  )
}

/** In the language of the page; a state that this page does not know keeps the API's name. */
function stateOf(state: string): string {
  switch (state) {
    case 'complete':
    case 'stopped':
    case 'aborted':
    case 'interrupted':
    case 'under_way':
      return pours(state)
    case 'running':
      return pours('under_way')
    case 'waiting':
    case 'skipped':
    case 'not_poured':
      return t(`glass_${state}`)
    default:
      return state.replaceAll('_', ' ')
  }
}
