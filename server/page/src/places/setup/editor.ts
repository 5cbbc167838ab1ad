// Edits one item: what is typed is kept in the tab until it is saved, and nobody overwrites what they have not seen.
import { computed, signal } from '@preact/signals'
import { useEffect, useMemo } from 'preact/hooks'
import { Refusal } from '../../api/api.ts'
import type { FieldError } from '../../api/schema.ts'
import { reach } from '../../live/reach.ts'
import { open, replace, stillHere } from '../../router.ts'
import { refusal, refused } from '../../shell/refused.ts'
import { addressOf, type Listed } from './address.ts'
import { t } from './messages.ts'
import { idFrom } from './typed.ts'

/** An item as the daemon has it. */
export interface Stored<D> {
  readonly draft: D
  /** Empty: there is none yet. */
  readonly etag: string
  /** False: retired. */
  readonly active: boolean
}

export type Line = readonly [label: string, value: string]

/** One kind of item; `D` is what stands in its form, as text. */
export interface Kind<D> {
  readonly what: Listed
  readonly read: (id: string) => Promise<Stored<D>>
  readonly put: (id: string, draft: D, headers: Readonly<Record<string, string>>) => Promise<Stored<D>>
  readonly remove?: (id: string, headers: Readonly<Record<string, string>>) => Promise<unknown>
  readonly blank: () => D
  /** Each id has an item, an empty one where the daemon has none. */
  readonly everyId?: boolean
  /** What else changes with `different`, which `draft` has already. */
  readonly follow?: (draft: D, different: Partial<D>) => D
  /** What may differ between two versions. */
  readonly lines: (draft: D) => readonly Line[]
}

interface Kept<D> {
  readonly stored: Stored<D>
  readonly draft: D
  readonly id: string
}

/** What was just added: its own form, which opens then, says so. */
let added: string | null = null

export class Editor<D extends { readonly name?: string }> {
  readonly kind: Kind<D>
  /** Null: a new item. */
  readonly of: string | null
  readonly draft = signal<D | null>(null)
  readonly id = signal('')
  readonly faults = signal<readonly FieldError[]>([])
  /** Their version, where somebody changed it meanwhile. */
  readonly conflict = signal<Stored<D> | null>(null)
  readonly busy = signal(false)
  readonly saved = signal(false)
  readonly unread = signal<Refusal | null>(null)
  readonly stored = signal<Stored<D> | null>(null)
  readonly changed = computed(() => JSON.stringify(this.draft.value) !== JSON.stringify(this.stored.value?.draft ?? null))
  #idByHand = false

  constructor(kind: Kind<D>, of: string | null) {
    this.kind = kind
    this.of = of
    this.id.value = of ?? ''
  }

  get #key(): string {
    return `set-up ${this.kind.what} ${this.of ?? '?new'}`
  }

  /** What was typed and not saved, else what the daemon has. */
  async load(): Promise<void> {
    if (this.draft.value !== null) return
    const kept = read<D>(this.#key)
    if (kept !== null) {
      this.stored.value = kept.stored
      this.id.value = kept.id
      this.draft.value = kept.draft
      return
    }
    if (this.of === null) return this.#show({ draft: this.kind.blank(), etag: '', active: true })
    try {
      this.#show(await this.kind.read(this.of))
      this.saved.value = added === `${this.kind.what} ${this.of}`
      added = null
      this.unread.value = null
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      if (this.kind.everyId === true && error.problem.status === 404) this.#show({ draft: this.kind.blank(), etag: '', active: true })
      else this.unread.value = error
    }
  }

  /** Another text in one field or several. */
  change(different: Partial<D>): void {
    if (this.draft.value === null) return
    const draft = { ...this.draft.value, ...different }
    this.draft.value = this.kind.follow?.(draft, different) ?? draft
    if (this.of === null && !this.#idByHand && different.name !== undefined) this.id.value = idFrom(different.name)
    this.#keep()
  }

  rename(id: string): void {
    this.#idByHand = true
    this.id.value = id
    this.#keep()
  }

  undo(): void {
    if (this.stored.value !== null) this.#show(this.stored.value)
  }

  async save(): Promise<void> {
    const [draft, stored] = [this.draft.value, this.stored.value]
    if (draft === null || stored === null || this.busy.value) return
    const isHere = stillHere()
    const id = this.id.value
    await this.#order(async () => {
      const saved = await this.kind.put(id, draft, conditionOf(stored))
      if (this.of !== null && this.draft.value !== draft) {
        // more was typed meanwhile
        this.stored.value = saved
        return this.#keep()
      }
      this.#show(saved)
      this.saved.value = true
      if (this.of === null && isHere()) {
        added = `${this.kind.what} ${id}`
        replace(addressOf(this.kind.what, id))
      }
    })
  }

  /** Retires or discards it. */
  async remove(): Promise<void> {
    const { remove } = this.kind
    const stored = this.stored.value
    if (remove === undefined || stored === null || this.busy.value) return
    const isHere = stillHere()
    await this.#order(async () => {
      await remove(this.id.value, conditionOf(stored))
      forget(this.#key)
      if (isHere()) open(addressOf(this.kind.what))
    })
  }

  takeTheirs(): void {
    if (this.conflict.value !== null) this.#show(this.conflict.value)
  }

  async keepMine(): Promise<void> {
    if (this.conflict.value === null) return
    this.stored.value = this.conflict.value
    this.conflict.value = null
    this.#keep()
    await this.save()
  }

  async #order(order: () => Promise<void>): Promise<void> {
    this.busy.value = true
    refusal.value = null
    this.faults.value = []
    try {
      await order()
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      await this.#meet(error)
    } finally {
      this.busy.value = false
    }
  }

  async #meet(error: Refusal): Promise<void> {
    const { type, errors } = error.problem
    if (type === '/problems/changed-meanwhile') {
      if (this.of === null) this.faults.value = [{ pointer: '/id', detail: t('id_taken'), line: null, parameter: null }]
      else await this.kind.read(this.of).then(theirs => (this.conflict.value = theirs), refused)
    } else if (errors != null && errors.length > 0) {
      this.faults.value = errors.map(fault => (fault.parameter == null ? fault : { ...fault, pointer: '/id' }))
    } else refused(error)
  }

  #show(stored: Stored<D>): void {
    this.stored.value = stored
    this.draft.value = stored.draft
    this.conflict.value = null
    this.faults.value = []
    this.saved.value = false
    forget(this.#key)
  }

  #keep(): void {
    this.saved.value = false
    const [draft, stored] = [this.draft.value, this.stored.value]
    if (draft === null || stored === null || !this.changed.value) return forget(this.#key)
    write(this.#key, { draft, stored, id: this.id.value } satisfies Kept<D>)
  }
}

const conditionOf = (stored: Stored<unknown>): Record<string, string> => (stored.etag === '' ? { 'If-None-Match': '*' } : { 'If-Match': stored.etag })

function read<D>(key: string): Kept<D> | null {
  try {
    return JSON.parse(sessionStorage.getItem(key) ?? 'null') as Kept<D> | null
  } catch {
    return null
  }
}

function write(key: string, kept: unknown): void {
  try {
    sessionStorage.setItem(key, JSON.stringify(kept))
  } catch {
    // a browser that keeps nothing: it stands in the form alone
  }
}

function forget(key: string): void {
  try {
    sessionStorage.removeItem(key)
  } catch {
    // as above
  }
}

export function useEditor<D extends { readonly name?: string }>(kind: Kind<D>, of: string | null): Editor<D> {
  const editor = useMemo(() => new Editor(kind, of), [kind, of])
  const there = reach.value !== 'cut_off'
  useEffect(() => void editor.load(), [editor, there])
  return editor
}

/** How their version differs from mine: one difference in words, and how many more there are. */
export function difference(theirs: readonly Line[], mine: readonly Line[]): { readonly first: readonly [string, string, string] | null; readonly more: number } {
  const [ours, others] = [new Map(mine), new Map(theirs)]
  const labels = [...new Set([...others.keys(), ...ours.keys()])]
  const found = labels.filter(label => (others.get(label) ?? '') !== (ours.get(label) ?? ''))
  const first = found[0]
  if (first === undefined) return { first: null, more: 0 }
  return { first: [first, others.get(first) ?? '', ours.get(first) ?? ''], more: found.length - 1 }
}
