// Figures as people type them: with a decimal point or comma, empty for none.
import { language } from '../../i18n/language.ts'

/** A figure for a field. */
export function typed(value: number | null | undefined): string {
  if (value == null) return ''
  return language.value === 'en' ? String(value) : String(value).replace('.', ',')
}

/** The figure of a field. What is none goes to the API as it was typed, since the API says best what is wrong with it. */
export function figureOf(text: string): number | null {
  const plain = text.trim().replace(',', '.')
  if (plain === '') return null
  const value = Number(plain)
  return Number.isFinite(value) ? value : (text as unknown as number)
}

/** The one chosen, null for none. */
export const orNull = (text: string): string | null => (text === '' ? null : text)

const MAX_ID = 60

/** An id that a name suggests: lower-case letters, digits, single hyphens. */
export const idFrom = (name: string): string =>
  name
    .normalize('NFD')
    .replace(/[\u0300-\u036f'’]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, MAX_ID)
    .replace(/^-+|-+$/g, '')
