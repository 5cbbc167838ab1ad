import assert from 'node:assert/strict'
import { test } from 'node:test'
import { cubeCount, cubeEdge, graduation, iceRoom, layerLevels, levelAt, radiusAt, shapeOf, spread, volumeAt } from '../src/parts/glass-geometry.ts'

const close = (found: number, wanted: number, within: number) =>
  assert.ok(Math.abs(found - wanted) <= within, `${found} is not ${wanted} within ${within}`)

// A frustum of radii 33 and 38 mm and height 81 mm: V = pi h / 3 (R^2 + R r + r^2) = 321 ml (Bronstein, solids).
const tumbler = shapeOf({ brim_ml: 320, rim_mm: 76, base_mm: 66, height_mm: 81 })

test('a filled glass reaches its rim', () => {
  close(volumeAt(tumbler, 81), 321.2, 0.1)
  close(levelAt(tumbler, 321.2), 81, 0.05)
  assert.equal(levelAt(tumbler, 5000), 81)
  assert.equal(levelAt(tumbler, 0), 0)
})

test('a level holds the volume that was asked for, at any height', () => {
  for (let ml = 5; ml < 320; ml += 15) close(volumeAt(tumbler, levelAt(tumbler, ml)), ml, 1e-6)
})

test('half the volume stands above half the height, since the glass widens', () => {
  assert.ok(levelAt(tumbler, 160.6) > 81 / 2)
  assert.ok(levelAt(shapeOf({ brim_ml: 320, rim_mm: 60, base_mm: 80, height_mm: 81 }), 100) < 81 / 2)
})

test('a glass that was not measured is a cylinder as high as wide, of its brim volume', () => {
  const unknown = shapeOf({ brim_ml: 250 })
  assert.equal(unknown.to_scale, false)
  close(unknown.height, 2 * unknown.rim, 1e-9)
  close(volumeAt(unknown, unknown.height), 250, 1e-6)
  assert.equal(radiusAt(unknown, 10), unknown.base)
  close(levelAt(unknown, 125), unknown.height / 2, 1e-6)
})

test('floating ice displaces its own mass of the drink, sunken ice its volume (Archimedes)', () => {
  assert.equal(iceRoom(60, 100, 100), 60)
  close(iceRoom(100, 216, 200), 92.6, 0.05) // in 1.08 g/ml: docs/menu.md says 93 ml
  close(iceRoom(60, 80, 100), 65.45, 0.01) // lighter than ice of 0.9167 g/ml
})

test('with too little liquid ice lies on the ground and lifts it by 1.6 of its volume at most', () => {
  assert.equal(iceRoom(60, 10, 10), 16)
  assert.equal(iceRoom(60, 0, 0), 0)
})

test('ice lifts all layers in proportion, so that a boundary does not jump when the next dose begins', () => {
  const bare = layerLevels(tumbler, [50, 100], 0)
  const iced = layerLevels(tumbler, [50, 100], 60)
  close(volumeAt(tumbler, iced[0] ?? 0), 50 * 1.4, 1e-6)
  close(volumeAt(tumbler, iced[1] ?? 0), 210, 1e-6)
  assert.ok((iced[0] ?? 0) > (bare[0] ?? 0))
  assert.deepEqual(layerLevels(tumbler, [], 60), [])
})

test('the graduation goes by 50 ml and stays below the brim', () => {
  assert.deepEqual(graduation(tumbler).map(mark => mark.ml), [50, 100, 150, 200, 250, 300])
})

test('cubes are counted by the text, else one for each 20 g', () => {
  assert.equal(cubeCount('three cubes', 60), 3)
  assert.equal(cubeCount('2 large cubes', 90), 2)
  assert.equal(cubeCount('crushed ice', 100), 5)
  assert.equal(cubeCount('some', 4), 1)
  close(cubeEdge(60, 3), 27.9, 0.05) // 20 g are 21.8 ml of ice
})

test('labels keep their order and their distance, and stay within where there is room', () => {
  const found = spread([10, 11, 12, 50], 10, 5, 95)
  assert.deepEqual(found, [10, 20, 30, 50])
  assert.deepEqual(spread([90, 92, 94], 10, 5, 95), [75, 85, 95])
  assert.deepEqual(spread([50, 20], 10, 5, 95), [50, 20])
})
