import type { VNode } from 'preact'

/** A place of the page: its address, its name in the language of the page, what it shows. */
export interface Place {
  readonly path: string
  readonly name: () => string
  readonly View: () => VNode
}
