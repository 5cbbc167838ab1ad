// The error of a dose within its tolerance: a dot in a bracket, or a diamond beyond it.
import type { DoseView } from '../../api/schema.ts'
import { markAt, share } from './worst.ts'

const HALF = 24

export function Gauge({ dose }: { dose: DoseView }) {
  const off = share(dose)
  if (off === null) return null
  const x = 40 + HALF * markAt(off)
  const within = dose.verdict === 'within'
  return (
    <svg class="tol" viewBox="0 0 80 16" preserveAspectRatio="xMinYMid meet" aria-hidden="true">
      <path class="t-line" d={`M${40 - HALF} 8H${40 + HALF}M40 5.5v5`} />
      <path class="t-end" d={`M${40 - HALF} 3v10M${40 + HALF} 3v10`} />
      {within ? <circle class="t-in" cx={x} cy="8" r="3.6" /> : <path class="t-out" d={`M${x - 5} 8l5-6 5 6-5 6z`} />}
    </svg>
  )
}
