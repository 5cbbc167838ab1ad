import assert from 'node:assert/strict'
import { test } from 'node:test'
import { Announcer, type Weighed } from '../src/places/now/announcement.ts'

const pouring = (g: number, more: Partial<Weighed> = {}): Weighed => ({ g, target_g: 100, doses: 1, atRest: false, ...more })

test('a quarter, a dose that ended and rest are said, each at most once in 5 s', () => {
  const announcer = new Announcer()
  assert.equal(announcer.takes(pouring(0), 0), true)
  assert.equal(announcer.takes(pouring(10), 6000), false)
  assert.equal(announcer.takes(pouring(26), 7000), true)
  assert.equal(announcer.takes(pouring(51), 8000), false)
  assert.equal(announcer.takes(pouring(60), 12_000), true)
  assert.equal(announcer.takes(pouring(61, { doses: 2 }), 18_000), true)
  assert.equal(announcer.takes(pouring(61, { doses: 2, atRest: true }), 24_000), true)
  assert.equal(announcer.takes(pouring(61, { doses: 2, atRest: true }), 30_000), false)
})

test('what is no longer live is not said, and the next reading is', () => {
  const announcer = new Announcer()
  announcer.takes(pouring(10), 0)
  assert.equal(announcer.takes(null, 6000), false)
  assert.equal(announcer.takes(pouring(30), 12_000), true)
})
