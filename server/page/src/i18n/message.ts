// Whole sentences with named places: `Pouring *{liquid}*`. Between stars stands what is set in italics. A message with
// plural forms takes its form by the place `count` (Intl.PluralRules).
export type Plural = { readonly [form in Intl.LDMLPluralRule]?: string } & { readonly other: string }
export type Message = string | Plural

type NamesIn<S> = S extends `${string}{${infer N}}${infer R}` ? N | NamesIn<R> : never
export type NamesOf<M> = M extends string ? NamesIn<M> : M extends { other: infer O } ? NamesIn<O> | 'count' : never
export type Values<M> = [NamesOf<M>] extends [never] ? [] : [values: Readonly<Record<NamesOf<M>, string | number>>]

export interface Piece {
  readonly text: string
  readonly em: boolean
}

/** The message in its pieces, with its places filled. */
export function pieces(message: Message, values: Readonly<Record<string, string | number>>, language: string): Piece[] {
  return formOf(message, values, language)
    .split('*')
    .map((part, index) => ({
      text: part.replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? '')),
      em: index % 2 === 1,
    }))
    .filter(piece => piece.text !== '')
}

function formOf(message: Message, values: Readonly<Record<string, string | number>>, language: string): string {
  if (typeof message === 'string') return message
  return message[new Intl.PluralRules(language).select(Number(values['count']))] ?? message.other
}
