import assert from 'node:assert/strict'
import { test } from 'node:test'
import { placeOf } from '../src/places/sign-in/to.ts'

const BAR = 'http://bar.test:8788'

test('after signing in one goes back to where one wanted to go', () => {
  assert.equal(placeOf('/records?day=2031-03-14&end=stopped#t=9.6', BAR), '/records?day=2031-03-14&end=stopped#t=9.6')
})

test('nobody is led to another site, or in a circle', () => {
  for (const to of [null, '', 'https://elsewhere.test/', '//elsewhere.test/', '/\\elsewhere.test', '/\t/elsewhere.test', 'javascript:alert(1)', '/sign-in?to=/', 'records'])
    assert.equal(placeOf(to, BAR), '/', String(to))
})
