// The mass as one large number, what it lacks, whether it is at rest, the flow, and what comes then.
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import type { PourView, RoundView } from '../../api/schema.ts'
import { figure, flowRate, grams } from '../../i18n/format.ts'
import { machine } from '../../live/bar.ts'
import { flows, reading } from '../../live/live.ts'
import { Bar, Wave } from '../../parts/marks.tsx'
import { Noted } from './alarm.tsx'
import { Announcer, type Weighed } from './announcement.ts'
import { t } from './messages.ts'
import { massShown, remainingOf, thenOf } from './picture.ts'
import type { Situation } from './situation.ts'

const EMPTY_G = 2

interface Props {
  readonly situation: Situation
  /** Under way, else null. */
  readonly pour: PourView | null
  readonly round: RoundView | null
}

const BOXED = new Set(['held', 'alarm', 'latched'])
const HIDDEN = new Set(['cut_off', 'asking', 'no_board', 'uncalibrated', 'restarting'])

export function Meter({ situation, pour, round }: Props) {
  const live = HIDDEN.has(situation.kind) || situation.kind === 'taring' ? null : reading.value
  const mass = massShown(live, pour)
  const target_g = mass?.net === true ? (pour?.target_g ?? null) : null
  const feeding = mass !== null && (situation.kind === 'pouring' || situation.kind === 'topping_up' || situation.kind === 'settling')
  return (
    <div class="meter">
      <div>
        <Status weighed={mass === null || live === null ? null : { g: mass.g, target_g, doses: live.delivered_g?.length ?? 0, atRest: live.stable }} />
        <p class="mass" aria-hidden="true">
          {mass === null ? <span class="dash">– – –</span> : <span class={target_g === null ? '' : 'n3'}>{figure(mass.g, 1)}</span>}
          <span class="unit">g</span>
        </p>
      </div>
      <p class="under">
        {live === null ? (
          <span>{situation.kind === 'uncalibrated' ? t('no_calibration_no_mass') : t('no_reading')}</span>
        ) : (
          <>
            {!feeding && <Rest stable={live.stable} />}
            {mass !== null && target_g !== null && <span class="num">{t('of_target', { target: grams(target_g) })}</span>}
            {mass !== null && target_g !== null && target_g - mass.g >= 0.1 && (
              <span class="num">{t('to_come', { mass: grams(target_g - mass.g) })}</span>
            )}
            {mass?.net === false && <span>{Math.abs(live.gross_g) < EMPTY_G ? t('platform_empty') : t('gross')}</span>}
          </>
        )}
      </p>
      {live !== null && !BOXED.has(situation.kind) && <Noted alarms={machine.value?.alarms ?? []} />}
      {feeding && pour !== null && <Flow />}
      <Then round={round} quiet={BOXED.has(situation.kind) || live === null} />
    </div>
  )
}

const Rest = ({ stable }: { stable: boolean }) => (
  <span class="rest">
    {stable ? <Bar /> : <Wave />}
    {stable ? t('at_rest') : t('moving')}
  </span>
)

function Then({ round, quiet }: { round: RoundView | null; quiet: boolean }) {
  const then = thenOf(round)
  const remaining = remainingOf(round)
  if (quiet || (then === '' && remaining === '')) return null
  return (
    <p class="then">
      {then} <span class="small num">{remaining}</span>
    </p>
  )
}

const WIDE = 400
const HIGH = 62
const SPAN_MS = 8000

/** The flow of the last 8 s as a line; its scale follows the largest of them. */
function Flow() {
  const points = flows.value
  const last = points.at(-1)
  if (last === undefined) return null
  const most = Math.max(2, ...points.map(point => point.flow ?? 0)) * 1.2
  const line = points
    .filter(point => point.flow !== null)
    .map(point => {
      const x = WIDE - ((last.atMs - point.atMs) / SPAN_MS) * WIDE
      const y = HIGH - 2 - (Math.max(0, point.flow ?? 0) / most) * (HIGH - 6)
      return `${x.toFixed(1)},${y.toFixed(1)}`
    })
    .join(' ')
  return (
    <figure class="flow">
      <svg viewBox={`0 0 ${WIDE} ${HIGH}`} preserveAspectRatio="none" aria-hidden="true">
        <path class="f-base" d={`M0 ${HIGH - 2}H${WIDE}`} />
        <polyline class="p-raw" points={line} />
      </svg>
      <figcaption class="small">
        <span>{t('flow_last')}</span>
        <span class="num">{last.flow === null ? '' : flowRate(last.flow)}</span>
      </figcaption>
    </figure>
  )
}

/** What a screen reader is told of the mass, now and then; never an old one. */
function Status({ weighed }: { weighed: Weighed | null }) {
  const said = useSignal('')
  const announcer = useRef(new Announcer())
  useEffect(() => {
    if (weighed === null) said.value = ''
    if (announcer.current.takes(weighed, performance.now()) && weighed !== null) said.value = spoken(weighed)
  })
  return (
    <p class="hush" role="status">
      {said.value}
    </p>
  )
}

function spoken({ g, target_g, atRest }: Weighed): string {
  const digits = atRest ? 1 : 0
  const now = figure(g, digits)
  if (target_g === null) return t(atRest ? 'said_gross_rest' : 'said_gross', { now })
  return t(atRest ? 'said_poured_rest' : 'said_poured', { now, target: figure(target_g, digits) })
}
