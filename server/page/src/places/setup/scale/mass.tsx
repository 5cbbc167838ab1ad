// The live mass on the platform, never a stale one, and the button that waits for rest.
import { useSignal } from '@preact/signals'
import { useEffect, useId, useRef } from 'preact/hooks'
import { Refusal } from '../../../api/api.ts'
import { figure } from '../../../i18n/format.ts'
import { reading } from '../../../live/live.ts'
import type { Reading } from '../../../live/reading.ts'
import { Bar, Wave } from '../../../parts/marks.tsx'
import { refusal, refused } from '../../../shell/refused.ts'
import { t } from './messages.ts'

const AGAIN_MS = 400
const WITHIN_MS = 30_000
/** A reading that is shown may be a little older than the one that was refused. */
const AT_REST_TRIES = 2
const SPOKEN_MS = 5000
/** At rest the platform may still ring by so much. */
const RINGS_G = 2

/** `under`: what else is said of the mass. */
export function Mass({ net = false, under }: { net?: boolean; under?: string | undefined }) {
  const live = reading.value
  const mass_g = live === null ? null : net ? live.net_g : live.gross_g
  const state = t(live?.stable === true ? 'at_rest' : 'moving')
  return (
    <div>
      <Spoken text={live === null || mass_g === null ? t('no_reading') : t('said', { mass: figure(mass_g, live.stable ? 1 : 0), state })} />
      <p class="mass" aria-hidden="true">
        {mass_g === null ? <span class="dash">– – –</span> : <span>{figure(mass_g, 1)}</span>}
        <span class="unit">g</span>
      </p>
      <p class="under">
        {live === null ? (
          <span>{t('no_reading')}</span>
        ) : (
          <span class="rest">
            {live.stable ? <Bar /> : <Wave />}
            {state}
          </span>
        )}
        {live !== null && under !== undefined && <span>{under}</span>}
      </p>
    </div>
  )
}

/** Tells a screen reader at most once in 5 s. */
function Spoken({ text }: { text: string }) {
  const said = useSignal(text)
  const next = useRef(text)
  next.current = text
  useEffect(() => {
    const timer = setInterval(() => (said.value = next.current), SPOKEN_MS)
    return () => clearInterval(timer)
  }, [])
  return (
    <p class="hush" role="status">
      {said.value}
    </p>
  )
}

interface Props {
  readonly label: string
  readonly order: () => Promise<unknown>
}

/** Orders what needs the scale at rest. Pressed before, it waits for that; leaving the view calls it off. */
export function RestButton({ label, order }: Props) {
  const waiting = useSignal(false)
  const wanted = useRef(true)
  const id = useId()
  useEffect(() => {
    wanted.current = true
    return () => void (wanted.current = false)
  }, [])
  const press = async () => {
    if (waiting.value) return
    waiting.value = true
    refusal.value = null
    try {
      await atRest(order, () => wanted.current)
    } catch (error) {
      if (wanted.current) refused(error)
    } finally {
      waiting.value = false
    }
  }
  return (
    <>
      <button type="button" class="solid big" aria-disabled={waiting.value} aria-describedby={id} onClick={() => void press()}>
        {waiting.value ? t('waiting') : label}
      </button>
      <p class="small waits" id={id}>
        {reading.value?.stable === false ? t('waits') : ''}
      </p>
    </>
  )
}

interface NextProps {
  readonly label: string
  readonly take: (rest_g: number) => unknown
  /** Whether a mass at rest is the one waited for; `otherwise` says what is waited for. */
  readonly isWanted?: (rest_g: number) => boolean
  readonly otherwise?: string
}

/** The mass at rest; null while it moves, and while the platform says that the load has just changed. */
export function restOf(live: Reading | null): number | null {
  const rest_g = live?.rest_g ?? null
  return live === null || rest_g === null || Math.abs(live.gross_g - rest_g) > RINGS_G ? null : rest_g
}

/** Takes the next mass at rest: one from before the press may be from before something was moved. */
export function NextAtRest({ label, take, isWanted = () => true, otherwise = '' }: NextProps) {
  const state = useSignal<'idle' | 'asked' | 'taking'>('idle')
  const before = useRef<Reading | null>(null)
  const id = useId()
  const live = reading.value
  const rest_g = restOf(live)
  const press = () => {
    if (state.value !== 'idle') return
    refusal.value = null
    before.current = live
    state.value = 'asked'
  }
  useEffect(() => {
    if (state.value !== 'asked' || live === before.current || rest_g === null || !isWanted(rest_g)) return
    state.value = 'taking'
    const taken = async () => take(rest_g)
    taken()
      .catch(refused)
      .finally(() => (state.value = 'idle'))
  }, [state.value, live])
  return (
    <div class="acts adding">
      <button type="button" class="solid big" aria-disabled={state.value !== 'idle'} aria-describedby={id} onClick={press}>
        {state.value === 'idle' ? label : t('waiting')}
      </button>
      <p class="small waits" id={id}>
        {live === null ? t('no_reading') : rest_g === null ? t('waits') : isWanted(rest_g) ? '' : otherwise}
      </p>
    </div>
  )
}

/** Asks until the scale was at rest. The answer that it was not says that nothing was done, so it may be asked again.
 * Refused while it is seen at rest, something else is the matter. */
async function atRest(order: () => Promise<unknown>, wanted: () => boolean): Promise<void> {
  const end = performance.now() + WITHIN_MS
  let refusedAtRest = 0
  while (wanted()) {
    try {
      return void (await order())
    } catch (error) {
      refusedAtRest = reading.value?.stable === true ? refusedAtRest + 1 : 0
      const passing = error instanceof Refusal && error.problem.type === '/problems/scale-not-ready'
      if (!passing || refusedAtRest > AT_REST_TRIES || performance.now() > end) throw error
    }
    await new Promise(resolve => setTimeout(resolve, AGAIN_MS))
  }
}
