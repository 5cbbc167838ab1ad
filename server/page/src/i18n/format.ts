// Numbers and times as people write them. A minus is U+2212; between a number and its unit stands a no-break space.
import { language } from './language.ts'

const NARROW = '\u00a0'

export function figure(value: number, digits: number): string {
  const shown = Math.abs(value) < 0.5 * 10 ** -digits ? 0 : value
  const format = new Intl.NumberFormat(language.value, { minimumFractionDigits: digits, maximumFractionDigits: digits })
  return format.format(shown).replace('-', '\u2212')
}

/** A mass to 0.1 g. */
export const grams = (mass_g: number): string => `${figure(mass_g, 1)}${NARROW}g`

export const millilitres = (volume_ml: number, digits = 0): string => `${figure(volume_ml, digits)}${NARROW}ml`

export const flowRate = (flow_g_per_s: number): string => `${figure(flow_g_per_s, 1)}${NARROW}g/s`

/** `5.4 s`, or from a minute on `1 min 50 s`. */
export function duration(seconds: number, digits = 0): string {
  if (seconds < 59.5) return `${figure(seconds, digits)}${NARROW}s`
  const whole = Math.round(seconds)
  const rest = whole % 60
  return `${Math.floor(whole / 60)}${NARROW}min` + (rest === 0 ? '' : ` ${rest}${NARROW}s`)
}

/** 20:14 */
export const clockTime = (at: Date): string => at.toLocaleTimeString(language.value, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })

/** 20:14:37 */
export const clockSeconds = (at: Date): string => at.toLocaleTimeString(language.value, { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' })
