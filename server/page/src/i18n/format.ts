// Numbers and times as people write them. A minus is U+2212; between a number and its unit stands a no-break space,
// between groups of three digits a narrow one, and none in four digits (BIPM, SI Brochure, 5.4.4; from memory).
import { language } from './language.ts'

const SPACE = '\u00a0'
const GROUPS = '\u202f'

export function figure(value: number, digits: number): string {
  const shown = Math.abs(value) < 0.5 * 10 ** -digits ? 0 : value
  const format = new Intl.NumberFormat(language.value, { minimumFractionDigits: digits, maximumFractionDigits: digits, useGrouping: 'min2' })
  return format
    .formatToParts(shown)
    .map(({ type, value: part }) => (type === 'group' ? GROUPS : type === 'minusSign' ? '\u2212' : part))
    .join('')
}

/** A mass to 0.1 g. */
export const grams = (mass_g: number): string => `${figure(mass_g, 1)}${SPACE}g`

export const millilitres = (volume_ml: number, digits = 0): string => `${figure(volume_ml, digits)}${SPACE}ml`

export const flowRate = (flow_g_per_s: number): string => `${figure(flow_g_per_s, 1)}${SPACE}g/s`

/** `5.4 s`, or from a minute on `1 min 50 s`. */
export function duration(seconds: number, digits = 0): string {
  if (seconds < 59.5) return `${figure(seconds, digits)}${SPACE}s`
  const whole = Math.round(seconds)
  const rest = whole % 60
  return `${Math.floor(whole / 60)}${SPACE}min` + (rest === 0 ? '' : ` ${rest}${SPACE}s`)
}

/** 20:14 */
export const clockTime = (at: Date): string => at.toLocaleTimeString(language.value, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })

/** 20:14:37 */
export const clockSeconds = (at: Date): string => at.toLocaleTimeString(language.value, { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' })

/** English dates are written as in Europe, like the other two. */
const dateIn = (at: Date, parts: Intl.DateTimeFormatOptions): string => at.toLocaleDateString(language.value === 'en' ? 'en-GB' : language.value, parts)

/** 14 March */
export const shortDay = (at: Date): string => dateIn(at, { day: 'numeric', month: 'long' })

/** 14 March 2031 */
export const longDay = (at: Date): string => dateIn(at, { dateStyle: 'long' })

/** Friday 14 March */
export const weekDay = (at: Date): string => dateIn(at, { weekday: 'long', day: 'numeric', month: 'long' })

/** `2.1 %`, in English without the space */
export const percent = (share: number, digits = 1): string => `${figure(100 * share, digits)}${language.value === 'en' ? '' : GROUPS}%`
