import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { OrderView, RoundView } from '../src/api/schema.ts'

const { orderTickets, roundTickets } = await import('../src/shell/tickets.ts')

const NOW = new Date('2031-03-14T20:15:00')
const order = (more: Partial<OrderView>) =>
  ({ id: 'o', number: 44, name: 'Second Bell', guest: 'F 12', state: 'waiting', created_at: '2031-03-14T20:05:01', bar_looks: false, ...more }) as OrderView

const saidOf = (more: Partial<OrderView>, known = true) => orderTickets([order(more)], NOW, known)[0]

test('a ticket says since when it hangs, and after ten minutes how long', () => {
  assert.deepEqual([saidOf({})?.state, saidOf({})?.long], ['since 20:05', false])
  const old = saidOf({ created_at: '2031-03-14T20:03:00' })
  assert.deepEqual([old?.state, old?.long], ['waits for 12 min', true])
})

test('a ticket that needs a release says so, and one of an old queue says nothing', () => {
  assert.equal(saidOf({ bar_looks: true })?.state, 'over the limit: release needed')
  assert.equal(saidOf({ created_at: '2031-03-14T20:00:00' }, false)?.state, 'not known now')
})

test('a glass of the round that is for an order has its number, and opens it', () => {
  const glass = { name: 'Second Bell', guest: null, state: 'under_way', order: null, order_number: null }
  const glasses = [{ ...glass, glass: 1 }, { ...glass, glass: 2, order: '/v1/orders/o', order_number: 44, state: 'waiting' }]
  const round = { id: 'r', progress: { step: 'pouring', glass: 1 }, glasses } as unknown as RoundView
  const [first, second] = roundTickets(round, false, true)
  assert.deepEqual([first?.number, first?.orderId, first?.on], [1, null, true])
  assert.deepEqual([second?.number, second?.orderId, second?.state], [44, 'o', 'next in this round'])
})
