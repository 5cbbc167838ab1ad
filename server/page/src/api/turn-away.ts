import type { Problem } from './schema.ts'

const ASKS_WHO = ['/problems/token-required', '/problems/operators-only']
const OPEN_TO_ALL = /^\/(menu|sign-in)(\/|$)/

/** Leads on to sign in, and back from there, if the daemon wants to know who asks. */
export function turnAway({ type }: Pick<Problem, 'type'>): void {
  const { pathname, search, hash } = location
  if (!ASKS_WHO.includes(type) || OPEN_TO_ALL.test(pathname)) return
  location.replace(`/sign-in?to=${encodeURIComponent(pathname + search + hash)}`)
}
