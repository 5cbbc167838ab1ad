// Server-sent events from text as it arrives (WHATWG HTML, 9.2.6).
export interface StreamEvent {
  readonly kind: string
  readonly data: string
  /** Its number in the journal; null: it has none and is not told again. */
  readonly id: string | null
}

export class EventLines {
  #rest = ''
  #kind = ''
  #data: string[] = []
  #id: string | null = null;

  /** The events that this text completes. */
  *feed(text: string): Generator<StreamEvent> {
    const lines = (this.#rest + text).split(/\r\n|\n|\r(?!$)/)
    this.#rest = lines.pop() ?? ''
    for (const line of lines) {
      if (line === '') {
        const event = { kind: this.#kind || 'message', data: this.#data.join('\n'), id: this.#id }
        const any = this.#data.length > 0
        this.#kind = ''
        this.#data = []
        this.#id = null
        if (any) yield event
      } else this.#take(line)
    }
  }

  #take(line: string): void {
    const colon = line.indexOf(':')
    const name = colon < 0 ? line : line.slice(0, colon)
    const value = colon < 0 ? '' : line.slice(colon + 1).replace(/^ /, '')
    if (name === 'event') this.#kind = value
    else if (name === 'data') this.#data.push(value)
    else if (name === 'id') this.#id = value
  }
}
