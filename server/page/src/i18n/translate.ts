// Texts of one place of the page, in all languages.
import { Fragment, h, type VNode } from 'preact'
import { language, type Language } from './language.ts'
import { pieces, type Message, type Values } from './message.ts'

export type Translations<K extends string> = Readonly<Record<K, Message>>

export interface Texts<E extends Readonly<Record<string, Message>>> {
  /** The text. */
  <K extends keyof E>(key: K, ...values: Values<E[K]>): string
  /** The text with its italics. */
  rich<K extends keyof E>(key: K, ...values: Values<E[K]>): VNode
  readonly all: Readonly<Record<Language, Translations<keyof E & string>>>
}

/** The texts of a place; German and French have every key of the English ones. */
export function texts<const E extends Readonly<Record<string, Message>>>(
  en: E,
  de: Translations<keyof E & string>,
  fr: Translations<keyof E & string>,
): Texts<E> {
  const all = { en: en as Translations<keyof E & string>, de, fr }
  const found = (key: keyof E & string, values: Readonly<Record<string, string | number>> = {}) =>
    pieces(all[language.value][key], values, language.value)
  const say = (key: keyof E, ...[values]: Values<Message> | []) =>
    found(key as keyof E & string, values)
      .map(piece => piece.text)
      .join('')
  const rich = (key: keyof E, ...[values]: Values<Message> | []) =>
    h(Fragment, null, found(key as keyof E & string, values).map(piece => (piece.em ? h('i', null, piece.text) : piece.text)))
  return Object.assign(say, { rich, all }) as unknown as Texts<E>
}
