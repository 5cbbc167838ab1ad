// Asks the daemon, with the types that its own description gives. Every failure is a `Refusal`.
import { noteDate } from '../live/clock.ts'
import { reach } from '../live/reach.ts'
import type { paths, Problem } from './schema.ts'
import { turnAway } from './turn-away.ts'

const TIMEOUT_MS = 5000

type Method = 'get' | 'post' | 'put' | 'delete'
type PathOf<M extends Method> = { [P in keyof paths]: paths[P] extends Record<M, object> ? P : never }[keyof paths]
type Operation<P extends keyof paths, M extends Method> = paths[P] extends Record<M, infer O> ? O : never
type Json<X> = X extends { content: { 'application/json': infer B } } ? B : never
type Answer<O> = O extends { responses: infer R } ? Json<R[keyof R]> : never
type Body<O> = O extends { requestBody?: infer R } ? Json<NonNullable<R>> : never
type Names<S> = S extends `${string}{${infer N}}${infer R}` ? N | Names<R> : never

export interface Asked<P, O> {
  /** What stands in braces in the path. */
  readonly at?: Readonly<Record<Names<P>, string | number>>
  readonly query?: Readonly<Record<string, string | number | boolean>>
  readonly body?: Body<O>
  /** A body of TOML, in the place of `body`. */
  readonly toml?: string
  readonly headers?: Readonly<Record<string, string>>
}

/** The daemon, or the page itself, did not do what was asked. `cutOff`: nothing was sent. */
export class Refusal extends Error {
  readonly problem: Problem
  readonly cutOff: boolean
  /** After how many seconds to ask again (RFC 9110, 10.2.3); null: not told. */
  readonly retryAfter_s: number | null

  constructor(problem: Problem, cutOff = false, retryAfter_s: number | null = null) {
    super(problem.detail)
    this.problem = problem
    this.cutOff = cutOff
    this.retryAfter_s = retryAfter_s
  }
}

export const get = <P extends PathOf<'get'>>(path: P, asked: Asked<P, Operation<P, 'get'>> = {}, timeoutMs?: number) =>
  ask('get', path, asked, timeoutMs)

export const post = <P extends PathOf<'post'>>(path: P, asked: Asked<P, Operation<P, 'post'>> = {}, timeoutMs?: number) =>
  ask('post', path, asked, timeoutMs)

export const put = <P extends PathOf<'put'>>(path: P, asked: Asked<P, Operation<P, 'put'>> = {}) =>
  ask('put', path, asked)

export const remove = <P extends PathOf<'delete'>>(path: P, asked: Asked<P, Operation<P, 'delete'>> = {}) =>
  ask('delete', path, asked)

async function ask<M extends Method, P extends PathOf<M>>(
  method: M,
  path: P,
  asked: Asked<P, Operation<P, M>>,
  timeoutMs = TIMEOUT_MS,
): Promise<Answer<Operation<P, M>>> {
  if (method !== 'get' && reach.value === 'cut_off') throw unsent()
  const body = asked.toml ?? (asked.body === undefined ? undefined : JSON.stringify(asked.body))
  const sent = body === undefined ? {} : { body }
  const kind = body === undefined ? {} : { 'Content-Type': asked.toml === undefined ? 'application/json' : 'application/toml' }
  let answer: Response
  try {
    answer = await fetch(addressOf(path, asked), {
      ...sent,
      method: method.toUpperCase(),
      headers: { ...kind, ...asked.headers },
      cache: 'no-store',
      signal: AbortSignal.timeout(timeoutMs),
    })
  } catch {
    throw notReached(false)
  }
  noteDate(answer.headers)
  const read = await answer.json().catch(() => undefined)
  if (answer.ok && read === undefined && answer.status !== 204) throw notReached(false) // its end never came
  if (answer.ok) return read as Answer<Operation<P, M>>
  const problem = read ?? { type: 'about:blank', title: answer.statusText, status: answer.status, detail: answer.statusText }
  turnAway(problem)
  throw new Refusal(problem, false, Number(answer.headers.get('Retry-After')) || null)
}

function addressOf<P extends string>(path: P, asked: Asked<P, unknown>): string {
  const at = asked.at as Readonly<Record<string, string | number>> | undefined
  const filled = path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(at?.[name] ?? ''))
  if (asked.query === undefined) return filled
  const query = Object.entries(asked.query).map(([name, value]) => [name, String(value)])
  return `${filled}?${new URLSearchParams(query)}`
}

/** What is not sent, since the daemon may be out of reach. */
export const unsent = (): Refusal => notReached(true)

const notReached = (refused: boolean) =>
  new Refusal({ type: '/page/not-reached', title: 'not reached', status: 0, detail: '', instance: '' } as Problem, refused)
