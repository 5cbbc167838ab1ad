// The eccentricity test of OIML R 76-1: the mass in the middle of each quarter of the platform, in turn.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { post } from '../../../api/api.ts'
import type { CornersView } from '../../../api/schema.ts'
import { grams } from '../../../i18n/format.ts'
import { reading } from '../../../live/live.ts'
import { OpenTriangle } from '../../../parts/marks.tsx'
import { open } from '../../../router.ts'
import { addressOf } from '../address.ts'
import { figureOf, typed } from '../typed.ts'
import { Mass, NextAtRest } from './mass.tsx'
import { t } from './messages.ts'
import { Platform, PLACES, type PlaceOfMass } from './platform.tsx'
import { addressOfStep, forget, forgetCorners, keep, kept } from './reading-kept.ts'

/** What differs more from the reference mass is not that mass. */
const NEAR_SHARE = 0.1

export function Corners() {
  const { judged, corners_g = [], reference } = kept.value
  const reference_g = Number(figureOf(reference))
  const place = PLACES[corners_g.length]
  return (
    <>
      {judged === undefined ? (
        <Reading key={corners_g.length} read_g={corners_g} place={place} reference_g={reference_g} />
      ) : (
        <Verdict judged={judged} />
      )}
      <div class="acts adding">
        <button type="button" class={judged === undefined ? 'plain' : 'solid big'} onClick={() => open(addressOfStep(6))}>
          {t(judged === undefined ? 'leave_corners' : 'go_on')}
        </button>
        {judged !== undefined && (
          <button type="button" onClick={forgetCorners}>
            {t('again')}
          </button>
        )}
        <a class="btn plain" href={addressOf('scale')} onClick={forget}>
          {t('leave_kept')}
        </a>
      </div>
    </>
  )
}

interface ReadingProps {
  /** What was read at the corners before. */
  readonly read_g: readonly number[]
  readonly place: PlaceOfMass | undefined
  readonly reference_g: number
}

/** Reads one corner. After the first the mass must have been moved: the same reading twice would say nothing. */
function Reading({ read_g, place, reference_g }: ReadingProps) {
  const mass = `${typed(reference_g)}\u00a0g`
  const isNear = (rest_g: number) => Math.abs(rest_g - reference_g) < NEAR_SHARE * reference_g
  const moved = useSignal(read_g.length === 0)
  const live = reading.value
  useEffect(() => {
    if (live !== null && (!live.stable || !isNear(live.gross_g))) moved.value = true
  }, [live])
  const take = async (rest_g: number) => {
    const readings_g = [...read_g, rest_g]
    if (readings_g.length < PLACES.length) return keep({ corners_g: readings_g })
    keep({ judged: await post('/v1/scale/corners', { body: { reference_g, readings_g } }) })
  }
  return (
    <>
      <p class="after">{t('hint5')}</p>
      <p class="outcome lasting" role="status">
        {place !== undefined && t(`at_${place}`, { mass })}
      </p>
      <div class="cols two lasting">
        <Mass />
        <Platform mass={mass} place={place} />
      </div>
      <NextAtRest label={t('act3')} take={take} isWanted={rest_g => moved.value && isNear(rest_g)} otherwise={t('waits_mass', { mass })} />
    </>
  )
}

function Verdict({ judged: { errors_g, limit_g, within } }: { judged: CornersView }) {
  const worst = worstOf(errors_g)
  const said = { place: t(PLACES[worst] ?? 'front_left'), error: grams(Math.abs(errors_g[worst] ?? 0)), limit: grams(limit_g) }
  return (
    <div class="lasting" role="status">
      {within ? (
        <p>{t('corners_within', said)}</p>
      ) : (
        <>
          <p class="fault">
            <OpenTriangle />
            {t('corners_apart', said)}
          </p>
          <p class="after">{t('corners_cure')}</p>
        </>
      )}
    </div>
  )
}

/** The corner with the largest error. */
export const worstOf = (errors_g: readonly number[]): number => errors_g.reduce((worst, error, at) => (Math.abs(error) > Math.abs(errors_g[worst] ?? 0) ? at : worst), 0)
