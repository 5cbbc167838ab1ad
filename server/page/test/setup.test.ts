import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { RecipeView } from '../src/api/schema.ts'
import { addressOf, whereIn } from '../src/places/setup/address.ts'
import { difference } from '../src/places/setup/editor.ts'
import { bodyOf, changed, draftOf, linesOf, moved, withoutStep, withStep } from '../src/places/setup/items/recipe-draft.ts'
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
