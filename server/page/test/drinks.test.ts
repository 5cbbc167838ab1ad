import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { DrinkView, MenuEntryView } from '../src/api/schema.ts'
import { cureOf, groupsOf } from '../src/places/drinks/groups.ts'
import { addressOf, countOf, draftOf, forGuest, MAX_GLASSES, wantedOf, withOne, withoutOne, type Draft } from '../src/places/drinks/round.ts'

const read = (address: string): Draft => draftOf(new URL(address, 'http://bar').searchParams)

const draft = (...glasses: [string, string][]): Draft => ({
  glasses: glasses.map(([recipe_id, guest]) => ({ recipe_id, guest })),
  auto_start: true,
})

test('a round is read from the address as people write it', () => {
  assert.deepEqual(read('/drinks?round=second-bell:F12,half-hour-call'), draft(['second-bell', 'F12'], ['half-hour-call', '']))
  assert.deepEqual(read('/drinks'), draft())
  assert.deepEqual(read('/drinks?round=,,:F12,&auto=0'), { glasses: [], auto_start: false })
  assert.equal(read(`/drinks?round=${'a,'.repeat(500)}`).glasses.length, MAX_GLASSES)
})

test('every guest comes back from the address, whatever the label holds', () => {
  const round = draft(['a', 'F 12'], ['b', 'row 3, left: 100% & +1 #2'], ['a', '%2C'], ['b', 'Möwe '])
  assert.deepEqual(read(addressOf(round, '#round')), round)
  assert.equal(addressOf(draft(['second-bell', 'F12'], ['b', ''])), '/drinks?round=second-bell:F12,b')
  assert.equal(addressOf(draft()), '/drinks')
  assert.equal(read(addressOf({ ...round, auto_start: false })).auto_start, false)
})

test('one fewer takes the glass away that nobody is to get', () => {
  const round = draft(['a', ''], ['a', 'F 12'], ['b', ''])
  assert.deepEqual(withoutOne(round, 'a'), draft(['a', 'F 12'], ['b', '']))
  assert.deepEqual(withoutOne(withoutOne(round, 'a'), 'a'), draft(['b', '']))
  assert.deepEqual(withoutOne(round, 'c'), round)
  assert.equal(countOf(withOne(round, 'a'), 'a'), 3)
})

test('a guest of blanks is nobody for the daemon', () => {
  assert.deepEqual(wantedOf(forGuest(draft(['a', ''], ['b', ' F 13 ']), 0, '  ')), [
    { recipe_id: 'a', count: 1, guest: null },
    { recipe_id: 'b', count: 1, guest: 'F 13' },
  ])
})

const drink = (more: Partial<MenuEntryView>): MenuEntryView =>
  ({ recipe_id: 'a', possible: true, blockers: [], strength_known: true, ethanol_g: 0, ...more }) as MenuEntryView

test('a drink whose strength nobody knows is not among those without alcohol', () => {
  const [free, unknown, strong, empty] = [
    drink({}),
    drink({ strength_known: false }),
    drink({ ethanol_g: 8 }),
    drink({ possible: false }),
  ]
  assert.deepEqual(groupsOf([strong, unknown, free, empty]), {
    without_alcohol: [free],
    with_alcohol: [strong, unknown],
    not_now: [empty],
  })
})

test('the cure of the first reason is offered', () => {
  const blocked = (code: string) => cureOf(drink({ possible: false, blockers: [{ code, message: '', step: null }] })).href
  assert.equal(blocked('bottle_low'), '/bottles')
  assert.equal(blocked('strength_unknown'), '/setup/liquids')
  assert.equal(blocked('dose_too_small'), '/setup/recipes/a')
  const low = drink({ possible: false, blockers: [{ code: 'no_bottle', message: '', step: 1 }] })
  const plan = { steps: [{ kind: 'hand', hand: 'ice' }, { kind: 'dose', channel: 8 }] } as unknown as DrinkView
  assert.deepEqual(cureOf(low, plan), { cure: 'bottles', href: '/bottles?swap=8', channel: 8 })
})
