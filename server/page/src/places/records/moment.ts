// What a trace tells of one moment.
import type { TracePictureView } from '../../api/schema.ts'
import type { Scale } from './plot.ts'
import { happened, stepName, type Happened } from './steps.ts'
import { t } from './messages.ts'

/** The flow is that of the mass so long before and after, in s. */
const HALF_S = 0.25
/** An event is here where it is so near, in parts of the time that is seen, and in s at the least. */
const NEAR = 0.006
const NEAR_S = 0.05
/** The mass at an end of the curve holds so long beyond it, in s. */
const END_S = 0.1

export interface Moment {
  /** Null: readings were lost. */
  readonly mass_g: number | null
  readonly flow_g_per_s: number | null
  /** By name, with its dose; empty: before the first one. */
  readonly step: string
  /** What happened besides the begin of the step. */
  readonly here: readonly Happened[]
}

export function momentAt(trace: TracePictureView, time: Scale, at_s: number): Moment {
  const [before_g, after_g] = [massAt(trace.mass, at_s - HALF_S), massAt(trace.mass, at_s + HALF_S)]
  const found = trace.steps.findLast(({ from_s, to_s }) => from_s <= at_s && at_s <= (to_s ?? time.to))
  const step = found === undefined ? '' : found.dose === null ? stepName(found.step) : t('of_dose', { step: stepName(found.step), number: found.dose + 1 })
  const near_s = Math.max(NEAR_S, NEAR * (time.to - time.from))
  return {
    mass_g: massAt(trace.mass, at_s),
    flow_g_per_s: before_g === null || after_g === null ? null : (after_g - before_g) / (2 * HALF_S),
    step,
    here: happened(trace).filter(event => Math.abs(event.at_s - at_s) <= near_s && (event.text !== step || event.said !== '')),
  }
}

/** Between two points of the curve on a straight line, and so near its ends as there; null within a gap. */
function massAt({ t_s, net_g }: TracePictureView['mass'], wanted_s: number): number | null {
  const [first_s, last_s] = [t_s[0] ?? 0, t_s.at(-1) ?? 0]
  const at_s = kept({ from: first_s, to: last_s }, wanted_s)
  if (Math.abs(at_s - wanted_s) > END_S) return null
  const next = t_s.findIndex(t => t >= at_s)
  if (next < 0) return null
  const [after_s, after_g] = [t_s[next] ?? 0, net_g[next] ?? null]
  if (after_s === at_s) return after_g
  const [before_s, before_g] = [t_s[next - 1], net_g[next - 1] ?? null]
  if (before_s === undefined || before_g === null || after_g === null) return null
  return before_g + ((after_g - before_g) * (at_s - before_s)) / (after_s - before_s)
}

/** Where a key takes the cursor; null: it is no key of its. */
export function moved(trace: TracePictureView, time: Scale, from_s: number, key: string): number | null {
  const events = happened(trace).map(event => event.at_s)
  switch (key) {
    case 'ArrowRight':
    case 'ArrowUp':
      return kept(time, from_s + 0.1)
    case 'ArrowLeft':
    case 'ArrowDown':
      return kept(time, from_s - 0.1)
    case 'PageUp':
      return kept(time, events.find(at_s => at_s > from_s + NEAR_S) ?? time.to)
    case 'PageDown':
      return kept(time, events.findLast(at_s => at_s < from_s - NEAR_S) ?? time.from)
    case 'Home':
      return time.from
    case 'End':
      return time.to
    default:
      return null
  }
}

/** Within the time that is seen. */
export const kept = ({ from, to }: Scale, at_s: number): number => Math.min(to, Math.max(from, at_s))
