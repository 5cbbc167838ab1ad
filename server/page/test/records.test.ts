import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { DoseView, PourView, TracePictureView } from '../src/api/schema.ts'
import { addressOf, asked, daysLater, filtersOf } from '../src/places/records/filters.ts'
import { endText, verdictOf } from '../src/places/records/names.ts'
import { band, down, HEIGHT, massScale, path, ticks, timeScale } from '../src/places/records/plot.ts'
import { momentAt, moved } from '../src/places/records/moment.ts'
import { happened } from '../src/places/records/steps.ts'
import { markAt, worst } from '../src/places/records/worst.ts'

const filters = (query: string) => filtersOf(new URLSearchParams(query))

test('filters come back from the address they are written to', () => {
  for (const query of ['', '?day=2031-03-14', '?channel=5', '?day=2031-03-14&channel=5&end=stopped&alarm=1'])
    assert.equal(addressOf(filters(query)), `/records${query}`)
})

test('what an address says wrongly filters nothing', () => {
  assert.equal(addressOf(filters('day=2031-02-30&channel=-1&end=well&alarm=yes')), '/records')
  assert.equal(addressOf(filters('day=today&channel=2.5')), '/records')
})

test('the API is asked for today where the address names no day, and for a verdict apart from a state', () => {
  assert.deepEqual(asked(filters(''), '2031-03-14'), { day: '2031-03-14' })
  assert.deepEqual(asked(filters('day=2031-03-13&end=out_of_tolerance&alarm=1'), '2031-03-14'), {
    day: '2031-03-13',
    out_of_tolerance: true,
    alarm: true,
  })
  assert.deepEqual(asked(filters('end=aborted&channel=2'), '2031-03-14'), { day: '2031-03-14', channel: 2, state: 'aborted' })
})

test('the day before and after cross months and leap days', () => {
  assert.equal(daysLater('2031-03-01', -1), '2031-02-28')
  assert.equal(daysLater('2032-02-28', 1), '2032-02-29')
  assert.equal(daysLater('2031-12-31', 1), '2032-01-01')
})

test('the worst dose is the one furthest off in its own tolerance, not in grams', () => {
  const small = { verdict: 'within', error_g: -0.8, tolerance_g: 0.9 }
  const large = { verdict: 'within', error_g: 2, tolerance_g: 10 }
  assert.equal(worst([large, small]), small)
  assert.equal(worst([{ verdict: 'within', error_g: null, tolerance_g: 1 }, { verdict: 'within', error_g: 9, tolerance_g: null }]), null)
  assert.equal(worst([]), null)
})

test('a dose that was stopped is not judged', () => {
  assert.equal(worst([{ verdict: null, error_g: -50, tolerance_g: 2 }]), null)
})

test('the mark of a gauge stays in the picture, and beyond its bracket', () => {
  assert.equal(markAt(-0.5), -0.5)
  assert.ok(markAt(40) > 1 && markAt(40) < 1.4)
  assert.equal(markAt(-40), -markAt(40))
})

const trace = (more: Partial<TracePictureView> = {}): TracePictureView => ({
  pour_id: 'p',
  glass_g: 250,
  readings: { t_s: [0, 10], net_g: [0, 100] },
  mass: { t_s: [0, 10], net_g: [0, 100] },
  gaps: [],
  steps: [],
  cut_offs_s: [],
  targets: [{ dose: 0, from_s: 0, to_s: 10, start_g: 0, target_g: 100, planned_g: 100, tolerance_g: 1 }],
  rescaled: [],
  alarms: [],
  ...more,
})

test('a curve is never joined across readings that were lost', () => {
  const curve = { t_s: [0, 1, 2, 3, 4], net_g: [0, 10, null, 30, 40] }
  assert.equal(path(curve, { from: 0, to: 10 }, { from: 0, to: 100 }), 'M0 400L100 360M300 280L400 240')
})

test('a tolerance is drawn to scale about its target, but 3 px high where the plot is 240 px', () => {
  const mass = { from: 0, to: 100 }
  assert.deepEqual(band(mass, 50, 10), { y: 160, height: 80 })
  const thin = band(mass, 50, 0.01)
  assert.ok((thin.height / HEIGHT) * 240 >= 3)
  assert.ok(Math.abs(thin.y + thin.height / 2 - down(mass, 50)) < 0.2)
})

test('a hand on the platform does not press the pour flat', () => {
  const heavy = trace({ mass: { t_s: [0, 5, 10], net_g: [0, 3000, 100] } })
  assert.ok(massScale(heavy).to < 200)
  assert.ok(massScale(trace()).to > 101)
})

test('what was poured without a target, or not at all, has scales all the same', () => {
  const nothing = { t_s: [], net_g: [] }
  const empty = trace({ readings: nothing, mass: nothing, targets: [] })
  assert.deepEqual(timeScale(empty), { from: 0, to: 1 })
  assert.ok(massScale(empty).to > massScale(empty).from)
  assert.ok(massScale(trace({ targets: [] })).to > 100)
})

test('ticks are round and within the scale', () => {
  assert.deepEqual(ticks({ from: 0, to: 21.3 }), [0, 5, 10, 15, 20])
  assert.deepEqual(ticks({ from: -7, to: 155 }), [0, 50, 100, 150])
})

const dose = (more: Partial<DoseView>) => ({ liquid_name: 'Limelight', verdict: 'within', error_g: 0, tolerance_g: 1, ...more }) as DoseView

const pour = (more: Partial<PourView>) =>
  ({
    state: 'complete',
    purpose: 'drink',
    target_g: 148.4,
    delivered_g: 150.9,
    final_g: 150.92,
    final_uncertainty_g: null,
    ended_at: null,
    doses: [dose({})],
    ...more,
  }) as PourView

const plain = (text: string) => text.replaceAll('\u00a0', ' ')

test('a dose out of tolerance is named with its error, in the sentence and in the list', () => {
  const over = pour({ doses: [dose({}), dose({ verdict: 'over', error_g: 1.13 })] })
  assert.equal(plain(verdictOf(over)), '150.9 g of 148.4 g. 1 dose is out of tolerance: Limelight +1.1 g.')
  assert.deepEqual(endText(over).abnormal, true)
  assert.equal(plain(endText(over).text), 'over target: Limelight +1.1 g')
})

test('the final mass has an interval, rounded up', () => {
  const sure = pour({ final_g: 151.04, final_uncertainty_g: 0.051 })
  assert.equal(plain(verdictOf(sure)), '151.0 ± 0.2 g of 148.4 g. The dose is within tolerance.')
})

test('a pour that was stopped, or was never weighed, is not called within tolerance', () => {
  assert.equal(plain(verdictOf(pour({ state: 'stopped', delivered_g: 61.2, final_g: 61.2 }))), 'Stopped before its end: 61.2 g of 148.4 g.')
  assert.equal(plain(verdictOf(pour({ state: 'interrupted', delivered_g: null, final_g: null }))), 'The daemon ended during this pour: unknown of 148.4 g.')
  assert.equal(plain(verdictOf(pour({ purpose: 'prime', doses: [dose({ verdict: null })] }))), '150.9 g of 148.4 g.')
  assert.equal(endText(pour({ state: 'coarse_feed' })).text, 'under way')
})

test('what happened stands in order, with doses counted from 1', () => {
  const told = happened(
    trace({
      steps: [{ step: 'coarse_feed', from_s: 0, to_s: 5, dose: 0, cause: null }, { step: 'held', from_s: 5, to_s: 9, dose: 0, cause: 'glass_lifted' }],
      cut_offs_s: [5],
      gaps: [{ from_s: 2, to_s: 2.5 }],
    }),
  )
  assert.deepEqual(told.map(item => plain(item.text)), ['coarse, dose 1', 'readings lost for 0.5 s', 'cut-off', 'held, dose 1'])
  assert.equal(told[3]?.said, 'glass lifted')
})

const rising = { t_s: [0, 1, 2, 3, 4], net_g: [0, 8, 16, null, 20] }

test('the cursor reads mass, flow and step, and what happens there', () => {
  const read = trace({
    mass: rising,
    steps: [{ step: 'coarse_feed', from_s: 0, to_s: 2, dose: 0, cause: null }, { step: 'settling', from_s: 2, to_s: 4, dose: 0, cause: null }],
    cut_offs_s: [2],
  })
  const time = { from: 0, to: 4 }
  const { here, ...moment } = momentAt(read, time, 1.5)
  assert.deepEqual({ moment, here }, { moment: { mass_g: 12, flow_g_per_s: 8, step: 'coarse, dose 1' }, here: [] })
  assert.deepEqual(momentAt(read, time, 2).here.map(event => event.text), ['cut-off'])
  assert.equal(momentAt(read, time, 2.5).mass_g, null) // readings were lost: no line across
  assert.deepEqual([-0.05, 4.05, 4.5].map(at_s => momentAt(read, time, at_s).mass_g), [0, 20, null])
})

test('keys move the cursor by tenths, from event to event, and to the ends', () => {
  const read = trace({ mass: rising, steps: [], cut_offs_s: [2, 3] })
  const time = { from: -1, to: 4 }
  const from = (at_s: number, ...keys: string[]) => keys.map(key => moved(read, time, at_s, key))
  assert.deepEqual(from(0, 'ArrowRight', 'ArrowDown', 'PageUp', 'PageDown', 'Home', 'End', 'Tab'), [0.1, -0.1, 2, -1, -1, 4, null])
  assert.deepEqual(from(2, 'PageUp', 'PageDown'), [3, -1])
  assert.deepEqual(from(4, 'ArrowRight', 'PageUp', 'PageDown'), [4, 4, 3])
})
