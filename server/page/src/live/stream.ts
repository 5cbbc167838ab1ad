// The event stream, opened again whenever it ends: after 1, 2, 4, 8 and then every 10 s, and at once when the network
// comes back or the tab is shown.
import { turnAway } from '../api/turn-away.ts'
import { EventLines, type StreamEvent } from './event-lines.ts'
import { noteDate } from './clock.ts'
import { nextTryAt, reach } from './reach.ts'

const RETRIES_S = [1, 2, 4, 8, 10]
const OPEN_WITHIN_MS = 5000

export interface Listener {
  /** The stream is open: ask everything afresh. What it throws ends the stream. */
  opened(): Promise<void>
  heard(event: StreamEvent): void
  /** Bytes have come, an event or only a sign of life. */
  alive(): void
  lost(): void
}

export class Stream {
  readonly #listener: Listener
  #lastId: string | null = null
  #failures = 0
  #opened: AbortController | null = null
  #wake: () => void = () => undefined

  constructor(listener: Listener) {
    this.#listener = listener
    addEventListener('online', () => this.#wake())
    document.addEventListener('visibilitychange', () => document.hidden || this.#wake())
  }

  /** Ends the present connection, since nothing comes through it. */
  drop(): void {
    this.#opened?.abort()
  }

  async run(): Promise<never> {
    for (;;) {
      await this.#follow().catch(() => undefined)
      reach.value = 'cut_off'
      this.#listener.lost()
      await this.#pause(RETRIES_S[Math.min(this.#failures++, RETRIES_S.length - 1)] ?? 10)
    }
  }

  async #follow(): Promise<void> {
    const opened = new AbortController()
    this.#opened = opened
    const late = setTimeout(() => opened.abort(), OPEN_WITHIN_MS)
    try {
      const headers: Record<string, string> = this.#lastId === null ? {} : { 'Last-Event-ID': this.#lastId }
      const answer = await fetch('/v1/events', { headers, cache: 'no-store', signal: opened.signal })
      if (!answer.ok) turnAway(await answer.json())
      if (!answer.ok || answer.body === null) throw new Error(`status ${answer.status}`)
      noteDate(answer.headers)
      await this.#listener.opened()
      clearTimeout(late)
      reach.value = 'open'
      this.#failures = 0
      await this.#read(answer.body)
    } finally {
      clearTimeout(late)
      opened.abort()
    }
  }

  async #read(body: ReadableStream<Uint8Array>): Promise<void> {
    const lines = new EventLines()
    const decoder = new TextDecoder()
    const reader = body.getReader()
    for (;;) {
      const { done, value } = await reader.read()
      if (done) return
      this.#listener.alive()
      for (const event of lines.feed(decoder.decode(value, { stream: true }))) {
        if (event.id !== null) this.#lastId = event.id
        this.#listener.heard(event)
      }
    }
  }

  async #pause(seconds: number): Promise<void> {
    nextTryAt.value = Date.now() + seconds * 1000
    await new Promise<void>(resolve => {
      this.#wake = resolve
      setTimeout(resolve, seconds * 1000)
    })
    nextTryAt.value = null
  }
}
