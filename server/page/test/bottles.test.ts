import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { BottleView, ChannelOutlookView } from '../src/api/schema.ts'
import { swapAddress, swapIn } from '../src/places/bottles/address.ts'
import { depth, elevationOf, levelY } from '../src/places/bottles/bottle-geometry.ts'
import { nextId } from '../src/places/bottles/next-id.ts'
import { fewest, runsOutNext, spare, type Slot } from '../src/places/bottles/shelf.ts'

const near = (found: number, wanted: number, within: number) =>
  assert.ok(Math.abs(found - wanted) <= within, `${found} is not ${wanted} within ${within}`)

test('an eighth of a litre is half as wide and half as high as a litre', () => {
  const [litre, eighth] = [elevationOf(1000), elevationOf(125)]
  near(eighth.width, litre.width / 2, 0.1)
  near(eighth.height, litre.height / 2, 0.1)
  assert.notEqual(elevationOf(1000.1).outline, elevationOf(5000).outline) // 1044.3 g of a juice of 1.0442 g/ml
  near(eighth.left + eighth.width / 2, litre.left + litre.width / 2, 0.1)
})

test('no bottle up to a litre leaves the stage, and none is too small to see', () => {
  for (const ml of [0, 1, 50, 330, 700, 1000]) {
    const { outline, left, width } = elevationOf(ml)
    const lengths = outline.match(/\d+(\.\d+)?/g)?.map(Number) ?? []
    assert.ok(lengths.length > 10 && lengths.every(length => length >= 0 && length <= 150), outline)
    assert.ok(left > 0 && width > 10)
  }
})

test('what is larger than a litre is a canister, the same for all', () => {
  assert.notEqual(elevationOf(1500).outline, elevationOf(1000).outline)
  assert.deepEqual(elevationOf(5000), elevationOf(20_000))
})

test('the level goes with the content, and never beyond the shoulder or below the ground', () => {
  const shape = elevationOf(1000)
  assert.equal(depth(levelY(shape, 0)), 0)
  near(depth(levelY(shape, 0.25)) * 4, shape.height, 0.3)
  near(depth(levelY(shape, 1)), shape.height, 0.05)
  assert.equal(levelY(shape, 1.2), levelY(shape, 1))
  assert.equal(levelY(shape, -0.1), levelY(shape, 0))
})

test('a swap is in the address, and what is no channel opens none', () => {
  assert.equal(swapIn(new URLSearchParams(swapAddress(8).split('?')[1])), 8)
  for (const query of ['', 'swap=', 'swap=0', 'swap=1.5', 'swap=-3', 'swap=eight', 'swap=1e1'])
    assert.equal(swapIn(new URLSearchParams(query)), null, query)
})

const drink = (name: string, count: number) => ({ recipe_id: name, name, dose_g: 20, count })
const slot = (number: number, ...drinks: ReturnType<typeof drink>[]) =>
  ({ channel: { number }, outlook: { channel: number, drinks } as unknown as ChannelOutlookView }) as unknown as Slot

test('of the drinks of a channel the one that it is the soonest too short for is told', () => {
  assert.equal(fewest(slot(1, drink('Curtain Up', 15), drink('Second Bell', 5)).outlook)?.name, 'Second Bell')
  assert.equal(fewest(slot(1).outlook), undefined)
  assert.equal(fewest(undefined), undefined)
})

test('what runs out next goes by the pace, without one by the drinks left; what is too short already comes first', () => {
  const slots = [slot(1, drink('Curtain Up', 9)), slot(2, drink('Second Bell', 4)), slot(3)]
  assert.equal(runsOutNext(slots, 1)?.channel.number, 1)
  assert.equal(runsOutNext(slots, null)?.channel.number, 2)
  assert.equal(runsOutNext([...slots, slot(4, drink('Long Overture', 0))], 1)?.channel.number, 4)
  assert.equal(runsOutNext([slot(3)], null), undefined)
})

test('bottles beside the channels come with those of the liquid wanted first', () => {
  const bottle = (id: string, liquid_id: string, channel: number | null) => ({ id, liquid_id, channel }) as BottleView
  const all = [bottle('b', 'water', null), bottle('a', 'juice', null), bottle('c', 'water', 1), bottle('d', 'water', null)]
  assert.deepEqual(spare(all, 'water').map(found => found.id), ['b', 'd', 'a'])
  assert.deepEqual(spare(all).map(found => found.id), ['a', 'b', 'd'])
})

test('a new bottle is numbered on from the old one, past what is taken', () => {
  assert.equal(nextId('overture-1', ['overture-1']), 'overture-2')
  assert.equal(nextId('overture-1', ['overture-1', 'overture-2', 'overture-3']), 'overture-4')
  assert.equal(nextId('house-water', []), 'house-water-1')
  assert.equal(nextId('act-2-syrup-9', ['act-2-syrup-9']), 'act-2-syrup-10')
})
