import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { RecipeView } from '../src/api/schema.ts'
import { addressOf, whereIn } from '../src/places/setup/address.ts'
import { difference, Editor, type Stored } from '../src/places/setup/editor.ts'
import { bodyOf, changed, draftOf, linesOf, moved, withoutStep, withStep } from '../src/places/setup/items/recipe-draft.ts'
import { forget, keep, keepSpan, kept, stepIn } from '../src/places/setup/scale/reading-kept.ts'
import { figureOf, idFrom } from '../src/places/setup/typed.ts'

const routeOf = (address: string) => {
  const { pathname, search } = new URL(address, 'http://bar')
  return { path: pathname, query: new URLSearchParams(search), hash: '' }
}

const RECIPE: RecipeView = {
  id: 'house-lights',
  active: true,
  etag: '"1"',
  name: 'House Lights',
  glass_id: null,
  volume_ml: 120,
  price: null,
  keep_order: true,
  note: 'cold',
  steps: [
    { hand: 'ice', what: 'three cubes', ice_g: 60, liquid_id: null, amount: null },
    { liquid_id: 'juice', amount: '2 parts' },
    { hand: 'top_up', what: 'soda, slowly', ice_g: 0, liquid_id: 'soda', amount: '40 ml' },
    { hand: 'garnish', what: 'a slice', ice_g: 0, liquid_id: 'lemon', amount: null },
  ],
}

test('an address of Set-up leads back to where it was made', () => {
  assert.deepEqual(whereIn(routeOf('/setup')), { part: 'recipes', one: null, adding: false })
  assert.deepEqual(whereIn(routeOf(addressOf('glasses', 'new'))), { part: 'glasses', one: 'new', adding: false })
  assert.deepEqual(whereIn(routeOf('/setup/glasses?new=1')), { part: 'glasses', one: null, adding: true })
  assert.deepEqual(whereIn(routeOf('/setup/curtains/x')), { part: 'recipes', one: null, adding: false })
  assert.deepEqual(whereIn(routeOf('/setup/glasses/%E0%A4%A')), { part: 'glasses', one: '%E0%A4%A', adding: false })
})

test('a figure takes a decimal comma; what is none is left for the API to refuse', () => {
  assert.equal(figureOf(' 20,5 '), 20.5)
  assert.equal(figureOf('20.5'), 20.5)
  assert.equal(figureOf('  '), null)
  assert.equal(figureOf('a lot'), 'a lot')
  assert.equal(figureOf('1e999'), '1e999') // JSON has no infinity, and null would say that it was left out
})

test('a name suggests an id that the API takes', () => {
  assert.equal(idFrom("Prompter's Cordial"), 'prompters-cordial')
  assert.equal(idFrom('  Été & Öl 2 '), 'ete-ol-2')
  assert.match(idFrom('a '.repeat(80)), /^a(-a){29}$/)
})

test('a recipe that is read and sent back is the same recipe', () => {
  const { id, active, etag, ...sent } = RECIPE
  assert.deepEqual(bodyOf(draftOf(RECIPE)), sent)
  assert.deepEqual([id, active, etag], ['house-lights', true, '"1"'])
})

test('a step by hand sends only what its kind has', () => {
  const ice = changed(draftOf(RECIPE).steps, 2, { kind: 'other' })
  assert.deepEqual(bodyOf({ ...draftOf(RECIPE), steps: ice }).steps[2], { hand: 'other', what: 'soda, slowly', ice_g: 0, liquid_id: null, amount: null })
})

test('steps move by one and never past the ends', () => {
  const { steps } = draftOf(RECIPE)
  const kinds = (found: typeof steps) => found.map(step => step.kind)
  assert.deepEqual(kinds(moved(steps, 1, -1)), ['dose', 'ice', 'top_up', 'garnish'])
  assert.deepEqual(kinds(moved(steps, 2, 1)), ['ice', 'dose', 'garnish', 'top_up'])
  assert.equal(moved(steps, 0, -1), steps)
  assert.equal(moved(steps, 3, 1), steps)
  const more = withStep(withoutStep(steps, 0), 'dose', 'water')
  assert.deepEqual(kinds(more), ['dose', 'top_up', 'garnish', 'dose'])
  assert.equal(new Set(more.map(step => step.key)).size, 4)
})

test('two versions of a recipe differ in a step by its liquid, and in the order if in nothing else', () => {
  const lines = (steps: ReturnType<typeof draftOf>['steps']) => linesOf({ ...draftOf(RECIPE), steps }, id => id.toUpperCase(), id => id)
  const { steps } = draftOf(RECIPE)
  assert.deepEqual(difference(lines(changed(steps, 1, { amount: '3 parts' })), lines(steps)), { first: ['JUICE', '3 parts', '2 parts'], more: 0 })
  assert.equal(difference(lines(withStep(steps, 'dose', 'juice')), lines(steps)).first?.[0], 'JUICE, 2')
  assert.equal(difference(lines(moved(steps, 0, 1)), lines(steps)).first?.[0], 'the order of the steps')
  assert.deepEqual(difference(lines(steps), lines(steps)), { first: null, more: 0 })
})

test('what is typed while it is saved is kept, and saved next', async () => {
  const sent: [string, Readonly<Record<string, string>>][] = []
  let answer = (_: Stored<{ name: string }>) => {}
  const editor = new Editor<{ readonly name: string }>(
    {
      what: 'glasses',
      read: async () => ({ draft: { name: 'Mug' }, etag: '"1"', active: true }),
      put: (_, { name }, headers) => (sent.push([name, headers]), new Promise(resolve => (answer = resolve))),
      blank: () => ({ name: '' }),
      lines: () => [],
    },
    'mug',
  )
  await editor.load()
  editor.change({ name: 'Gods mug' })
  const saving = editor.save()
  editor.change({ name: 'Gods mug, large' })
  answer({ draft: { name: 'Gods mug' }, etag: '"2"', active: true })
  await saving
  assert.deepEqual([editor.draft.value?.name, editor.saved.value, editor.changed.value], ['Gods mug, large', false, true])
  void editor.save()
  assert.deepEqual(sent, [
    ['Gods mug', { 'If-Match': '"1"' }],
    ['Gods mug, large', { 'If-Match': '"2"' }],
  ])
})

test('the guide of calibration goes no further than what was read', () => {
  const step = (asked: number) => stepIn(new URLSearchParams({ step: String(asked) }))
  forget()
  assert.deepEqual([step(1), step(6)], [1, 2])
  keep({ empty_counts: 1, before: null })
  assert.equal(step(6), 3)
  keepSpan(2214)
  assert.equal(step(6), 4)
  keep({ empty_g: 0.1, corners_g: [500.1] })
  assert.deepEqual([step(5), step(6), step(7)], [5, 6, 1])
  keepSpan(2215)
  assert.deepEqual([step(6), kept.value.corners_g], [4, undefined])
})
