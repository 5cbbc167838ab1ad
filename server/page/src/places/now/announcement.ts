// What is said of the mass: at the begin of a pour, at each quarter, at the end of each dose and when it comes to rest;
// at most once in 5 s.
const LEAST_MS = 5000

export interface Weighed {
  readonly g: number
  /** What the pour shall deliver; null: no pour is under way. */
  readonly target_g: number | null
  readonly doses: number
  readonly atRest: boolean
}

export class Announcer {
  #before: Weighed | null = null
  #saidMs = Number.NEGATIVE_INFINITY
  #due = false

  /** Whether this is to be said now. */
  takes(now: Weighed | null, nowMs: number): boolean {
    const before = this.#before
    this.#before = now
    if (now === null) {
      this.#due = false
      return false
    }
    this.#due ||= before === null || news(before, now)
    if (!this.#due || nowMs - this.#saidMs < LEAST_MS) return false
    this.#due = false
    this.#saidMs = nowMs
    return true
  }
}

const news = (before: Weighed, now: Weighed): boolean =>
  before.target_g !== now.target_g ||
  before.doses !== now.doses ||
  (now.atRest && !before.atRest) ||
  (now.target_g !== null && quarter(before) !== quarter(now))

const quarter = ({ g, target_g }: Weighed): number => Math.floor((4 * g) / (target_g ?? Infinity))
