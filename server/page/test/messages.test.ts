import './browser.ts'
import assert from 'node:assert/strict'
import { readdirSync } from 'node:fs'
import { test } from 'node:test'
import { pieces, type Message } from '../src/i18n/message.ts'

type All = Record<'en' | 'de' | 'fr', Record<string, Message>>

const source = new URL('../src/', import.meta.url)
const files = readdirSync(source, { recursive: true }).map(String).filter(name => name.endsWith('messages.ts'))

const forms = (message: Message): string[] => (typeof message === 'string' ? [message] : Object.values(message))
const placesIn = (text: string) => [...text.matchAll(/\{(\w+)\}/g)].map(found => found[1]).sort()

for (const file of files)
  test(`every text of ${file} has its places in every language, and its italics in pairs`, async () => {
    const { t } = (await import(new URL(file, source).href)) as { t: { all: All } }
    const { en, de, fr } = t.all
    for (const [key, message] of Object.entries(en)) {
      const wanted = placesIn(forms(message)[0] ?? '')
      for (const other of [message, de[key], fr[key]])
        for (const text of forms(other ?? '')) {
          assert.deepEqual(placesIn(text), wanted, key)
          assert.equal((text.match(/\*/g) ?? []).length % 2, 0, key)
        }
    }
    for (const other of [de, fr]) assert.deepEqual(Object.keys(other).sort(), Object.keys(en).sort())
  })

test('places are filled after the italics are read, so that a name keeps its stars', () => {
  assert.deepEqual(pieces('Pouring *{liquid}* now', { liquid: 'A*B' }, 'en'), [
    { text: 'Pouring ', em: false },
    { text: 'A*B', em: true },
    { text: ' now', em: false },
  ])
})

test('plural forms follow the rules of the language', () => {
  const message = { one: '{count} second', other: '{count} seconds' }
  assert.equal(pieces(message, { count: 1 }, 'en')[0]?.text, '1 second')
  assert.equal(pieces(message, { count: 0 }, 'en')[0]?.text, '0 seconds')
  assert.equal(pieces(message, { count: 0 }, 'fr')[0]?.text, '0 second') // CLDR: 0 and 1 are "one" in French
})
