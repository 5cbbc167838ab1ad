import './browser.ts'
import assert from 'node:assert/strict'
import { test } from 'node:test'
import { post, Refusal, remove } from '../src/api/api.ts'

const answering = (answer: Response) => (globalThis.fetch = async () => answer)

test('an answer whose end never came is none', async () => {
  answering(new Response('{"half":', { status: 200 }))
  await assert.rejects(post('/v1/scale/zero'), (error: unknown) => error instanceof Refusal && error.problem.status === 0)
})

test('nothing is an answer where nothing is to be said', async () => {
  answering(new Response(null, { status: 204 }))
  assert.equal(await remove('/v1/liquids/{liquid_id}', { at: { liquid_id: 'fog' } }), undefined)
  answering(new Response('null', { status: 200 }))
  assert.equal(await post('/v1/channels/{number}/swap/undo', { at: { number: 4 } }), null)
})
