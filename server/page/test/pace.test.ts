import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { GuestOrderView } from '../src/api/schema.ts'
import { pauseMs } from '../src/places/guest/pace.ts'

const order = (state: string, before: number | null = null) => ({ state, before }) as GuestOrderView
const pause = (orders: GuestOrderView[], failures = 0, luck = 0.5) => pauseMs(orders, failures, luck)

test('a phone asks the oftener, the nearer its turn is', () => {
  const pauses = [[order('next', 0)], [order('waiting', 1)], [order('waiting', 9)], []].map(orders => pause(orders))
  assert.deepEqual(pauses, [...pauses].sort((a, b) => a - b))
  assert.equal(new Set(pauses).size, pauses.length)
  assert.ok((pauses[0] ?? 0) <= 4000)
  assert.equal(pause([order('waiting', 9), order('pouring')]), pause([order('pouring')]))
})

test('while the bar does not answer it asks ever more seldom, but at least every 40 s', () => {
  assert.ok(pause([order('next')], 1) < pause([order('next')], 3))
  assert.ok(pause([], 1000, 1) < 40_000)
})

test('phones that asked together do not stay together', () => {
  assert.notEqual(pause([], 0, 0), pause([], 0, 1))
})
