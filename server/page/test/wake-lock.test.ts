import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { MachineView } from '../src/api/schema.ts'
import { machine } from '../src/live/bar.ts'
import { stayAwake } from '../src/shell/wake-lock.ts'

test('every lock of the screen is given back, however soon', async () => {
  const locks: { released: boolean; release(): Promise<void> }[] = []
  const request = async () => {
    const lock = { released: false, release: async () => void (lock.released = true) }
    locks.push(lock)
    return lock
  }
  Object.defineProperty(globalThis, 'navigator', { value: { wakeLock: { request }, languages: [] } })
  const settled = () => new Promise(resolve => setTimeout(resolve))
  stayAwake()
  const busy = { pour_id: 'p-1', round_id: null } as MachineView
  for (const now of [busy, { ...busy, pour_id: null }, busy]) machine.value = now
  await settled()
  assert.equal(locks.filter(lock => !lock.released).length, 1)
  machine.value = { ...busy, pour_id: null }
  await settled()
  assert.ok(locks.length > 0 && locks.every(lock => lock.released))
})
