import assert from 'node:assert/strict'
import { test } from 'node:test'
import { EventLines } from '../src/live/event-lines.ts'

const all = (...texts: string[]) => {
  const lines = new EventLines()
  return texts.flatMap(text => [...lines.feed(text)])
}

test('events are read however the text is cut', () => {
  const text = ': the stream is open\nretry: 1000\n\nevent: pour_state\ndata: {"a": 1}\nid: 7\n\nevent: reading\ndata: 1\ndata: 2\n\n'
  const wanted = [
    { kind: 'pour_state', data: '{"a": 1}', id: '7' },
    { kind: 'reading', data: '1\n2', id: null },
  ]
  assert.deepEqual(all(text), wanted)
  assert.deepEqual(all(...text), wanted)
  assert.deepEqual(all(text.replaceAll('\n', '\r\n')), wanted)
})

test('an event that has not ended is not told', () => {
  assert.deepEqual(all('event: reading\ndata: 1\n'), [])
})
