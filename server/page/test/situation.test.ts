import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { MachineView, PourView } from '../src/api/schema.ts'
import type { Reading } from '../src/live/reading.ts'
import { situationOf, type Known } from '../src/places/now/situation.ts'

const machine = (more: Partial<MachineView> = {}): MachineView => ({
  machine_id: 'interval-bar',
  link: { state: 'open', reason: '', board: null },
  calibrated: true,
  latched: false,
  emergency_stop: null,
  pour_id: null,
  pour: null,
  round_id: null,
  round: null,
  blockers: [],
  alarms: [],
  ...more,
})

const reading: Reading = { gross_g: 0, net_g: 0, flow_g_per_s: null, stable: true, rest_g: 0, pour_id: null, state: null, delivered_g: null }

const known = (more: Partial<Known> = {}): Known => ({
  reach: 'open',
  machine: machine(),
  pour: null,
  round: null,
  reading,
  step: null,
  stopping: false,
  offer: null,
  ...more,
})

const kind = (more: Partial<Known>) => situationOf(known(more)).kind

const poured = { id: 'p', state: 'complete', purpose: 'drink', glass_g: 250, delivered_g: 100, recipe: null, doses: [], progress: null } as unknown as PourView

test('what keeps the page from knowing comes before what the machine did last', () => {
  const latched = machine({ latched: true })
  assert.equal(kind({ reach: 'cut_off', machine: latched }), 'cut_off')
  assert.equal(kind({ reach: 'asking', machine: latched }), 'asking')
  assert.equal(kind({ machine: latched, reading: null }), 'latched')
  assert.equal(kind({ machine: machine({ link: { state: 'lost', reason: '', board: null } }), reading: null }), 'no_board')
  assert.equal(kind({ reading: null }), 'asking')
  assert.equal(kind({ machine: machine({ calibrated: false }), reading: null }), 'uncalibrated')
})

test('a pour is told by its step, and a stop that was ordered at once', () => {
  const pouring = machine({ pour_id: 'p' })
  assert.equal(kind({ machine: pouring, step: 'coarse_feed' }), 'pouring')
  assert.equal(kind({ machine: pouring, step: 'jog_feed' }), 'topping_up')
  assert.equal(kind({ machine: pouring, step: 'coarse_feed', stopping: true }), 'stopping')
  assert.equal(kind({ machine: pouring, step: 'held', stopping: true }), 'held')
})

test('the glass is to be taken away as long as the scale bears it', () => {
  assert.equal(kind({ pour: poured, reading: { ...reading, gross_g: 350 } }), 'take_away')
  assert.equal(kind({ pour: poured, reading: { ...reading, gross_g: 0 } }), 'idle')
  assert.equal(kind({ pour: poured, reading: { ...reading, gross_g: 252 } }), 'idle') // the next empty glass
  assert.equal(kind({ pour: { ...poured, purpose: 'flush' }, reading: { ...reading, gross_g: 350 } }), 'idle')
})

test('what blocks every pour is told where nothing is under way', () => {
  assert.equal(kind({ machine: machine({ blockers: ['no liquid'] }) }), 'blocked')
})
