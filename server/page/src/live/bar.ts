// What the daemon knows, asked afresh whenever an event says that it has changed.
import { batch, signal } from '@preact/signals'
import { get } from '../api/api.ts'
import type { GlassView, LiquidView, MachineView, PourView, RoundGlassView, RoundView } from '../api/schema.ts'
import { glassShown } from './glass-shown.ts'
import type { StreamEvent } from './event-lines.ts'
import { dropReading, takeReading } from './live.ts'
import { askQueue, askService, idOf } from './queue.ts'
import { reach } from './reach.ts'
import { readingOf } from './reading.ts'
import { Stream } from './stream.ts'

const PROBE_MS = 1500
const QUIET_MS = 1000
const QUIET_WITHOUT_BOARD_MS = 20_000
const GIVEN_UP_MS = 3000

export const machine = signal<MachineView | null>(null)
/** The pour under way, else the last one. */
export const pour = signal<PourView | null>(null)
/** The round under way, else the last one. */
export const round = signal<RoundView | null>(null)
/** The pours of the round's glass on the platform that are over, in order. */
export const earlier = signal<readonly PourView[]>([])
export const glasses = signal<readonly GlassView[]>([])
export const liquids = signal<readonly LiquidView[]>([])
/** The version of the daemon that answers. */
export const version = signal<string | null>(null)

let lastByteMs = 0
let probing = false
let asking: Promise<void> | null = null
let askAgain = false

const SET_UP = /^(liquid|glass)_/
const QUEUE = /^(order|service|guest|round)_/
const SERVICE = /^(service|guest_link)_/

const stream = new Stream({
  async opened() {
    version.value = (await get('/v1/health')).version
    await askSetUp()
    await Promise.all([askNow(), askQueue(), askService()])
    lastByteMs = performance.now()
  },
  alive: () => void (lastByteMs = performance.now()),
  heard,
  lost: dropReading,
})

function heard(event: StreamEvent): void {
  if (event.kind === 'reading') {
    const found = readingOf(event.data)
    if (found === null) dropReading()
    else takeReading(found)
    if (found !== null && found.pour_id !== (machine.value?.pour_id ?? null)) refresh()
    return
  }
  if (SET_UP.test(event.kind)) askSetUp().catch(() => undefined)
  if (SERVICE.test(event.kind)) askService().catch(() => undefined)
  if (QUEUE.test(event.kind)) askQueue().catch(() => undefined)
  refresh()
}

/** Asks for what is under way, soon; never twice at a time. */
export function refresh(): void {
  askAgain = true
  asking ??= (async () => {
    while (askAgain) {
      askAgain = false
      await askNow().catch(() => undefined)
      await new Promise(resolve => setTimeout(resolve, 50))
    }
  })().finally(() => (asking = null))
}

async function askSetUp(): Promise<void> {
  const [foundGlasses, foundLiquids] = await Promise.all([get('/v1/glasses'), get('/v1/liquids')])
  batch(() => {
    glasses.value = foundGlasses
    liquids.value = foundLiquids
  })
}

async function askNow(): Promise<void> {
  const found = await get('/v1/machine')
  const [foundPour, foundRound] = await Promise.all([
    found.pour_id === null ? latestPour() : get('/v1/pours/{pour_id}', { at: { pour_id: found.pour_id } }),
    found.round_id === null ? latestRound() : get('/v1/rounds/{round_id}', { at: { round_id: found.round_id } }),
  ])
  const foundEarlier = await earlierPours(glassShown(foundRound, foundPour?.id), found.pour_id)
  batch(() => {
    machine.value = found
    pour.value = foundPour
    round.value = foundRound
    earlier.value = foundEarlier
  })
}

const latestPour = async () => (await get('/v1/pours', { query: { limit: 1 } }))[0] ?? null
const latestRound = async () => (await get('/v1/rounds', { query: { limit: 1 } }))[0] ?? null

async function earlierPours(glass: RoundGlassView | undefined, nowId: string | null): Promise<readonly PourView[]> {
  const ids = (glass?.pours ?? []).map(idOf).filter(id => id !== nowId)
  const known = new Map(earlier.value.map(item => [item.id, item]))
  return Promise.all(ids.map(id => known.get(id) ?? get('/v1/pours/{pour_id}', { at: { pour_id: id } })))
}

/** Whether what starts something may be sent: what is sent into a lost network may arrive when nobody expects it. */
export const heardLately = (): boolean =>
  reach.value === 'open' && (machine.value?.link.state !== 'open' || performance.now() - lastByteMs < QUIET_MS)

/** Nothing has come for too long: does the daemon answer, and has it lost the board? */
async function probe(): Promise<void> {
  const quietMs = performance.now() - lastByteMs
  const linked = machine.value?.link.state === 'open'
  if (probing || reach.value !== 'open' || quietMs < (linked ? QUIET_MS : QUIET_WITHOUT_BOARD_MS)) return
  probing = true
  try {
    const found = await get('/v1/machine', {}, PROBE_MS)
    machine.value = found
    if (found.link.state === 'open' && quietMs > GIVEN_UP_MS) stream.drop()
  } catch {
    stream.drop()
  } finally {
    probing = false
  }
}

export function connect(): void {
  void stream.run()
  setInterval(() => void probe(), 250)
}
