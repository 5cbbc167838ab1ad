// Calibrating with a known mass, step by step. Nothing changes before the mass is read; what was read is kept in the tab.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { get, post, Refusal } from '../../../api/api.ts'
import { figure, grams, percent } from '../../../i18n/format.ts'
import { apiLang } from '../../../i18n/language.ts'
import { machine } from '../../../live/bar.ts'
import { reading } from '../../../live/live.ts'
import { OpenTriangle } from '../../../parts/marks.tsx'
import { open, route, stillHere } from '../../../router.ts'
import { useAsked } from '../../records/use-asked.ts'
import { addressOf } from '../address.ts'
import { figureOf, typed } from '../typed.ts'
import { Pair } from '../pair.tsx'
import { Corners, worstOf } from './corners.tsx'
import { Mass, NextAtRest, RestButton, restOf } from './mass.tsx'
import { t } from './messages.ts'
import { Platform } from './platform.tsx'
import { addressOfStep, forget, keep, keepSpan, kept, stepIn, STEPS, type Step } from './reading-kept.ts'
import { useTitle } from './scale.tsx'

/** The reference mass should be this share of Max at the least (docs/operating.md). */
const LEAST_SHARE = 1 / 3
/** Farthest from 0 that the empty platform may read afterwards, as `tarewell calibrate` has it. */
const EMPTY_CLOSE_G = 0.3

export function Calibrate() {
  const step = stepIn(route.value.query)
  const heading = useRef<HTMLHeadingElement>(null)
  const first = useRef(true)
  useTitle(t('calibrate'))
  useEffect(() => {
    if (!first.current) heading.current?.focus()
    first.current = false
  }, [step])
  const Acts = ACTS[step]
  return (
    <div class="cols guide">
      <aside>
        <p class="it name">{t('calibrate')}</p>
        <ol class="acts-line">
          {STEPS.map(each => (
            <li key={each} aria-current={each === step ? 'step' : undefined}>
              <span>{each}</span>
              <span>{each < step ? t('step_done', { name: t(`s${each}`) }) : t(`s${each}`)}</span>
            </li>
          ))}
        </ol>
      </aside>
      <div>
        <p class="it of">{t('step_of', { step, count: STEPS.length })}</p>
        <h1 ref={heading} tabIndex={-1}>
          {t(`do${step}`)}
        </h1>
        <Acts />
      </div>
    </div>
  )
}

const Leave = ({ before }: { before?: Step }) => (
  <>
    {before !== undefined && (
      <button type="button" class="plain" onClick={() => open(addressOfStep(before))}>
        {t('back')}
      </button>
    )}
    <a class="btn plain" href={addressOf('scale')} onClick={forget}>
      {t('leave')}
    </a>
  </>
)

const useLeast = (): string => {
  const { answer } = useAsked('about', () => get('/v1/about'))
  return answer === null ? '' : `${figure(Math.ceil(answer.scale_max_g * LEAST_SHARE), 0)}\u00a0g`
}

function WarmUp() {
  const least = useLeast()
  return (
    <>
      {least !== '' && <p class="lasting">{t('hint1', { least })}</p>}
      <div class="acts adding">
        <button type="button" class="solid big" onClick={() => open(addressOfStep(2))}>
          {t('act1')}
        </button>
        <Leave />
      </div>
    </>
  )
}

function Empty() {
  const read = async () => {
    const isHere = stillHere()
    const before = await get('/v1/scale/calibration').catch(ifNone)
    const { empty_counts } = await post('/v1/scale/calibration/empty')
    forget()
    keep({ empty_counts, before: before === null ? null : before.counts_per_g })
    if (isHere()) open(addressOfStep(3))
  }
  return (
    <>
      <div class="lasting">
        <Mass />
      </div>
      <div class="acts adding">
        <RestButton label={t('act2')} order={read} />
        <Leave before={1} />
      </div>
    </>
  )
}

function ifNone(error: unknown): null {
  if (error instanceof Refusal && error.problem.status === 404) return null
  throw error
}

function MassOn() {
  const least = useLeast()
  const wrong = useSignal<Refusal | null>(null)
  const unlikely = wrong.value?.problem.type === '/problems/calibration-unlikely'
  const { reference } = kept.value
  const reference_g = figureOf(reference)
  const isMass = typeof reference_g === 'number' && reference_g > 0
  const read = (accept_unlikely: boolean) => async () => {
    const { empty_counts } = kept.value
    const isHere = stillHere()
    wrong.value = null
    if (empty_counts === undefined || !isMass) return
    try {
      const made = await post('/v1/scale/calibration', { body: { empty_counts, reference_g, accept_unlikely } })
      keepSpan(made.counts_per_g)
      if (isHere()) open(addressOfStep(4))
    } catch (error) {
      if (!(error instanceof Refusal) || !/calibration-|invalid-request/.test(error.problem.type)) throw error
      wrong.value = error
    }
  }
  return (
    <>
      <div class="cols two lasting">
        <Mass under={machine.value?.calibrated === true ? t('by_old') : undefined} />
        <Platform mass={isMass ? `${typed(reference_g)}\u00a0g` : ''} />
      </div>
      <div class="field narrow">
        <label for="reference">{t('reference')}</label>
        <input id="reference" inputMode="decimal" autocomplete="off" value={reference} aria-describedby="reference-hint" onInput={event => keep({ reference: event.currentTarget.value })} />
        <p class="small" id="reference-hint">
          {isMass ? least !== '' && t('reference_hint', { least }) : t('not_a_mass')}
        </p>
      </div>
      <div role="alert">
        {wrong.value !== null && (
          <p class="fault" lang={apiLang.value}>
            <OpenTriangle />
            {wrong.value.problem.detail}
          </p>
        )}
      </div>
      <div class="acts adding">
        <RestButton label={t('act3')} order={read(false)} />
        {unlikely && <RestButton label={t('accept')} order={read(true)} />}
        <Leave before={2} />
      </div>
    </>
  )
}

/** The new calibration is kept by now; this looks whether it holds. */
function MassOff() {
  const far_g = useSignal<number | null>(null)
  const rest_g = restOf(reading.value)
  useEffect(() => {
    if (rest_g !== null && !isFar(rest_g)) far_g.value = null
  }, [rest_g])
  const check = (empty_g: number) => {
    far_g.value = isFar(empty_g) ? empty_g : null
    if (far_g.value !== null) return
    keep({ empty_g })
    open(addressOfStep(5))
  }
  return (
    <>
      <p class="after">{t('hint4')}</p>
      <div class="lasting">
        <Mass />
      </div>
      <div role="alert">
        {far_g.value !== null && (
          <p class="fault">
            <OpenTriangle />
            {t('not_empty', { mass: grams(far_g.value) })}
          </p>
        )}
      </div>
      <NextAtRest label={t('act4')} take={check} />
      <div class="acts adding">
        {far_g.value !== null && (
          <button type="button" onClick={() => open(addressOfStep(2))}>
            {t('calibrate_again')}
          </button>
        )}
        <a class="btn plain" href={addressOf('scale')} onClick={forget}>
          {t('leave_kept')}
        </a>
      </div>
    </>
  )
}

const isFar = (empty_g: number): boolean => Math.abs(empty_g) > EMPTY_CLOSE_G

function Changed() {
  const { before, now = 0, empty_g = 0, judged } = kept.value
  return (
    <>
      <dl class="pairs one lasting">
        <Pair name={t('now')} value={figure(now, 2)} />
        <Pair name={t('before')} value={before == null ? t('before_none') : figure(before, 2)} />
        {before != null && before !== 0 && <Pair name={t('change')} value={percent(now / before - 1, 2)} />}
        <Pair name={t('empty_reads')} value={grams(empty_g)} />
        <Pair name={t('corners')} value={judged === undefined ? t('corners_left') : grams(judged.errors_g[worstOf(judged.errors_g)] ?? 0)} />
      </dl>
      <div class="acts adding">
        <a class="btn solid big" href={addressOf('scale')} onClick={forget}>
          {t('to_scale')}
        </a>
      </div>
    </>
  )
}

const ACTS = { 1: WarmUp, 2: Empty, 3: MassOn, 4: MassOff, 5: Corners, 6: Changed } as const
