import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { ErrorChartView, UsageView } from '../src/api/schema.ts'
import { figure, percent } from '../src/i18n/format.ts'
import { chosenLanguage } from '../src/kept.ts'
import { bracket, doseScale, errorScale, rowsOf, uprights } from '../src/places/records/chart-places.ts'
import { sentence } from '../src/places/records/chart-words.ts'
import { down, tickDigits, within } from '../src/places/records/plot.ts'
import { around, groups, inGlasses, lost, monthOf, monthsLater, sumOf } from '../src/places/records/use-sums.ts'

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: ten batches, and their limits (from memory)
const FLOW_RATES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
const NIST = { mean_g: 50.81, lower_g: 45.8159, upper_g: 55.8041 }

const minute = (number: number) => `2031-03-14T20:${String(number).padStart(2, '0')}:00Z`

const chart = (errors: readonly number[], more: Partial<ErrorChartView> = {}): ErrorChartView => ({
  channel: 5,
  liquid_id: 'gallery-juice',
  limits: null,
  doses: errors.map((error_g, index) => ({ pour_id: `p${index}`, dose: 0, at: minute(index), target_g: 20, error_g, verdict: 'within', beyond: false })),
  runs: [],
  changes: [],
  learned: [],
  ...more,
})

test('limits, values and no error are all in the picture, in their order', () => {
  const errors = errorScale(chart(FLOW_RATES, { limits: NIST }))
  const heights = [NIST.upper_g, 53.6, NIST.mean_g, 47.6, NIST.lower_g, 0].map(value => down(errors, value))
  assert.deepEqual(heights, heights.toSorted((a, b) => a - b))
  assert.ok((heights[0] ?? -1) > 0 && (heights.at(-1) ?? 401) < 400)
  const equal = errorScale(chart([0, 0]))
  assert.ok(equal.to > equal.from)
})

test('doses stand side by side, one alone in the middle', () => {
  assert.equal(within(doseScale(1), 0), 0.5)
  assert.deepEqual([0, 1, 2, 3].map(index => within(doseScale(4), index)), [0.125, 0.375, 0.625, 0.875])
})

test('a change stands between the dose before and the dose after it, with what changed in the same gap', () => {
  const bottle = { at: minute(3), kind: 'bottle', what: 'juice-3' } as const
  const prime = { at: minute(3).replace(':00Z', ':30Z'), kind: 'prime', what: 'p' } as const
  const first = { at: '2031-03-14T19:00:00Z', kind: 'calibration', what: null } as const
  assert.deepEqual(uprights(chart([0, 0, 0, 0, 0], { changes: [first, bottle, prime] })), [
    { at: -0.5, changes: [first] },
    { at: 3.5, changes: [bottle, prime] },
  ])
})

test('texts that would touch get rows of their own, and one without room is left out', () => {
  assert.deepEqual(rowsOf([0, 0.05, 0.1, 0.15, 0.5, 0.51]), [0, 1, 2, null, 0, 1])
})

test('a bracket spans its run on the far side of it', () => {
  const errors = { from: -10, to: 10 }
  const [, x1, , y, x2] = /M([\d.]+) ([\d.]+)V([\d.]+)H([\d.]+)V/.exec(bracket(doseScale(10), errors, { first: 1, last: 8, above: true }, 3)) ?? []
  assert.deepEqual([x1, x2], ['150', '850'])
  assert.ok(Number(y) < down(errors, 3))
  const below = /V([\d.]+)H/.exec(bracket(doseScale(10), errors, { first: 1, last: 8, above: false }, -3))?.[1]
  assert.ok(Number(below) > down(errors, -3))
})

test('a chart of too few doses says so, and one of enough its mean, limits and what is out of the ordinary', () => {
  const plain = (text: string) => text.replaceAll('\u00a0', ' ')
  assert.equal(sentence(chart([0.1, 0.2])), '2 doses: too few for limits.')
  const judged = chart(FLOW_RATES, { limits: NIST, runs: [{ first: 0, last: 7, above: false }] })
  const out = { ...judged, doses: judged.doses.map((dose, index) => ({ ...dose, beyond: index === 8 })) }
  assert.equal(
    plain(sentence(out)),
    '10 doses, mean error +50.8 g, limits +45.8 g and +55.8 g. 1 dose beyond the limits. 1 run of eight or more on one side.',
  )
})

test('ticks have the digits in which they differ', () => {
  assert.equal(tickDigits({ from: 0, to: 8 }), 0)
  assert.equal(tickDigits({ from: 0, to: 0.35 }), 1)
  assert.equal(tickDigits({ from: 0, to: 0.07 }), 2)
})

const usage = (day: string, liquid_id: string, more: Partial<UsageView>): UsageView => ({
  day,
  liquid_id,
  liquid_name: liquid_id,
  poured_ml: 0,
  unfinished_ml: 0,
  found_later_ml: 0,
  primed_ml: 0,
  purged_ml: 0,
  spilt_ml: 0,
  flushed_g: 0,
  ...more,
})

test('what is in glasses and what is lost add up to what came out of the bottles', () => {
  const rows = [
    usage('2031-03-14', 'juice', { poured_ml: 500, unfinished_ml: 20, found_later_ml: 2 }),
    usage('2031-03-14', 'syrup', { poured_ml: 80, primed_ml: 8, purged_ml: 5, spilt_ml: 1, flushed_g: 60 }),
    usage('2031-03-13', 'juice', { poured_ml: 300 }),
  ]
  const sum = sumOf(rows)
  assert.equal(inGlasses(sum), 882)
  assert.equal(lost(sum), 34)
  const byDay = groups(rows, row => row.day, row => row.day)
  assert.deepEqual(byDay.map(({ key, used }) => [key, inGlasses(used)]), [['2031-03-14', 582], ['2031-03-13', 300]])
})

test('months come from the address, cross years, and are asked for with room for every time zone', () => {
  assert.equal(monthOf('2031-02', '2031-03-14'), '2031-02')
  assert.equal(monthOf('2031-13', '2031-03-14'), '2031-03')
  assert.equal(monthsLater('2031-12', 1), '2032-01')
  assert.equal(monthsLater('2031-01', -1), '2030-12')
  assert.deepEqual(around('2031-02'), { since: '2031-01-31T00:00:00.000Z', until: '2031-03-02T00:00:00.000Z' })
})

test('four digits stand together, more in groups of three with a thin space, in every language', () => {
  for (const [language, point] of [['en', '.'], ['de', ','], ['fr', ',']] as const) {
    chosenLanguage.value = language
    assert.equal(figure(5000, 0), '5000')
    assert.equal(figure(-12345.6, 1), `\u221212\u202f345${point}6`)
  }
  chosenLanguage.value = 'de'
  assert.equal(percent(0.021), '2,1\u202f%')
  chosenLanguage.value = ''
})
