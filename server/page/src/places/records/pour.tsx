// One pour: how it came out, its trace, its doses, what seals it.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { DoseView, PourView, TracePictureView } from '../../api/schema.ts'
import { clockSeconds, duration, figure, grams } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { machine } from '../../live/bar.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { End } from './end.tsx'
import { addressOf, dayOf } from './filters.ts'
import { Gauge } from './gauge.tsx'
import { Seal } from './journal.tsx'
import { InGlass } from './in-glass.tsx'
import { LastDoses } from './last-doses.tsx'
import { t } from './messages.ts'
import { drinkOf, endText, interval, longDay, signed, verdictOf } from './names.ts'
import { t as statistics } from './statistics-messages.ts'
import { happened } from './steps.ts'
import { Trace } from './trace.tsx'
import { useAsked } from './use-asked.ts'

const COLUMNS = 720

export function Pour({ id }: { id: string }) {
  const { answer: pour, refusal } = useAsked(`${id} ${machine.value?.pour_id === id}`, () => get('/v1/pours/{pour_id}', { at: { pour_id: id } }))
  const title = pour === null ? t('asking') : titleOf(pour)
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  if (pour === null)
    return (
      <>
        <h1 class="title">{refusal === null ? t('asking') : t('not_read')}</h1>
        {refusal !== null && <p lang={apiLang.value}>{refusal.problem.detail}</p>}
      </>
    )
  const day = dayOf(new Date(pour.created_at))
  return (
    <>
      <a class="back" href={addressOf({ day, channel: null, end: null, alarm: false })}>
        {longDay(day)}
      </a>
      <h1 class="title">{title}</h1>
      <Verdict pour={pour} />
      <p class="small">{when(pour, day)}</p>
      {pour.ended_at !== null && <Course pour={pour} />}
      <Doses doses={pour.doses} />
      {pour.in_glass != null && <InGlass held={pour.in_glass} />}
      <Seal pourId={id} seals={pour.journal ?? []} />
      <div class="acts">
        <button type="button" onClick={() => print()}>
          {statistics('print')}
        </button>
        <a class="btn" href={`/v1/pours/${id}/trace.csv`} download>
          {t('readings_csv')}
        </a>
      </div>
    </>
  )
}

const titleOf = (pour: PourView) =>
  pour.serving?.guest == null ? drinkOf(pour) : t('drink_for', { drink: drinkOf(pour), guest: pour.serving.guest })

function when(pour: PourView, day: string): string {
  const begun = clockSeconds(new Date(pour.created_at))
  const times =
    pour.ended_at === null
      ? t('begun_at', { day: longDay(day), begun })
      : t('begun_ended', { day: longDay(day), begun, ended: clockSeconds(new Date(pour.ended_at)) })
  return pour.glass_g === null ? times : `${times} ${t('on_glass', { mass: grams(pour.glass_g) })}`
}

function Verdict({ pour }: { pour: PourView }) {
  const held = (pour.steps ?? []).filter(step => step.step === 'held')
  const held_s = held.reduce((sum, step) => sum + (step.to_s ?? step.from_s) - step.from_s, 0)
  const sentence = verdictOf(pour)
  return (
    <p class="verdict">
      {endText(pour).abnormal ? (
        <span class="mark-w">
          <OpenTriangle />
          {sentence}
        </span>
      ) : (
        sentence
      )}{' '}
      {held.length > 0 && t('held_times', { count: held.length, time: duration(held_s, 1) })}
    </p>
  )
}

function Course({ pour }: { pour: PourView }) {
  const { id } = pour
  const { answer, refusal } = useAsked(id, () => get('/v1/pours/{pour_id}/trace', { at: { pour_id: id }, query: { points: COLUMNS } }))
  if (refusal !== null) return <p>{t(refusal.problem.status === 404 ? 'no_trace' : 'not_read')}</p>
  if (answer === null || !('readings' in answer)) return null
  return (
    <>
      <Trace trace={answer} />
      <Events trace={answer} />
      <div class="cols two plots">
        <End id={id} trace={answer} />
        <LastDoses pour={pour} />
      </div>
    </>
  )
}

const Events = ({ trace }: { trace: TracePictureView }) => (
  <details>
    <summary>{t('events')}</summary>
    <table>
      <thead>
        <tr>
          <th scope="col" class="r">
            {t('time')}
          </th>
          <th scope="col">{t('event')}</th>
        </tr>
      </thead>
      <tbody>
        {happened(trace).map(({ at_s, text, said }, index) => (
          <tr key={index}>
            <td class="r">
              {figure(at_s, 1)}
              {'\u00a0s'}
            </td>
            <td>
              {text} <span lang={apiLang.value}>{said}</span>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  </details>
)

const Doses = ({ doses }: { doses: readonly DoseView[] }) => (
  <>
    <h2 class="sect" id="doses">
      {t('doses')}
    </h2>
    <div class="wide" tabIndex={0} role="region" aria-labelledby="doses">
      <table>
        <thead>
          <tr>
            <th scope="col">{t('liquid')}</th>
            <th scope="col" class="r">
              {t('target_head')}
            </th>
            <th scope="col" class="r">
              {t('delivered')}
            </th>
            <th scope="col" class="r">
              {t('error')}
            </th>
            <th scope="col" class="r">
              {t('final')}
            </th>
            <th scope="col" class="r">
              {t('tolerance')}
            </th>
            <th scope="col">{t('verdict')}</th>
          </tr>
        </thead>
        <tbody>
          {doses.map((dose, index) => (
            <tr key={index}>
              <td>{t('liquid_channel', { liquid: dose.liquid_name, channel: dose.channel })}</td>
              <td class="r">{grams(dose.rescaled_g ?? dose.target_g)}</td>
              <td class="r">{dose.delivered_g === null ? '' : interval(dose.delivered_g, dose.uncertainty_g)}</td>
              <td class="r">{dose.error_g === null ? '' : signed(dose.error_g)}</td>
              <td class="r">{dose.final_g === null ? '' : interval(dose.final_g, dose.final_uncertainty_g)}</td>
              <td class="r">{dose.tolerance_g === null ? '' : grams(dose.tolerance_g)}</td>
              <td>
                <DoseVerdict dose={dose} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
    <p class="small">{t('interval')}</p>
  </>
)

function DoseVerdict({ dose }: { dose: DoseView }) {
  const { verdict } = dose
  const word = verdict === 'within' || verdict === 'under' || verdict === 'over' ? t(`is_${verdict}`) : t('no_verdict')
  return (
    <span class="judged">
      <Gauge dose={dose} />
      <span class={verdict === 'under' || verdict === 'over' ? 'mark-w' : ''}>{word}</span>
    </span>
  )
}
