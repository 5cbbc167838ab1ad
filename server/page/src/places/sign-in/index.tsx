// Signing in with the daemon's token, and out again.
import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { get, post, Refusal, remove } from '../../api/api.ts'
import type { SessionView } from '../../api/schema.ts'
import { duration, weekDay } from '../../i18n/format.ts'
import { Mark, OpenTriangle } from '../../parts/marks.tsx'
import { route } from '../../router.ts'
import { t } from './messages.ts'
import { placeOf } from './to.ts'

const AGAIN_MS = 2000

const goOn = () => location.replace(placeOf(route.peek().query.get('to'), location.origin))

export function SignIn() {
  const session = useSignal<SessionView | null>(null)
  const unreached = useSignal(false)
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined
    const ask = () =>
      get('/v1/session').then(
        found => (session.value = found),
        () => {
          unreached.value = true
          timer = setTimeout(ask, AGAIN_MS)
        },
      )
    void ask()
    return () => clearTimeout(timer)
  }, [])
  const shown = session.value
  const title = t('title', { bar: shown?.name ?? 'Tarewell' })
  useEffect(() => void (document.title = title), [title])
  return (
    <main class="door">
      <p class="mark">
        <Mark />
        Tarewell
      </p>
      <h1>{shown?.name ?? t('sign_in')}</h1>
      {shown === null ? <p role="status">{t(unreached.value ? 'unreached_waits' : 'asking')}</p> : <Inside session={shown} />}
      <p class="small cautions">{t('cautions')}</p>
    </main>
  )
}

function Inside({ session }: { session: SessionView }) {
  if (session.role === 'nobody' || (session.role === 'guest' && session.token_required)) return <Form />
  return (
    <div class="state">
      <p>
        {session.role === 'guest'
          ? t('guest')
          : session.ends_at === null
            ? t('no_token')
            : t('signed_in', { date: weekDay(new Date(session.ends_at)) })}
      </p>
      <div class="acts">
        {session.role === 'operator' && (
          <button type="button" class="solid big" onClick={goOn}>
            {t('go_on')}
          </button>
        )}
        {session.ends_at !== null && <SignOut label={session.role === 'guest' ? t('leave') : t('sign_out')} stays={session.token_required} />}
      </div>
    </div>
  )
}

/** `stays`: who has signed out may sign in again here. */
function SignOut({ label, stays }: { label: string; stays: boolean }) {
  const busy = useSignal(false)
  const failed = useSignal(false)
  const signOut = async () => {
    if (busy.value) return
    busy.value = true
    failed.value = false
    try {
      await remove('/v1/session')
      if (stays) location.reload()
      else goOn()
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      failed.value = true
      busy.value = false
    }
  }
  return (
    <>
      <button type="button" class="big" aria-disabled={busy.value} onClick={() => void signOut()}>
        {busy.value ? t('signing_out') : label}
      </button>
      <p role="alert">
        {failed.value && (
          <>
            <OpenTriangle />
            {t('still_in')}
          </>
        )}
      </p>
    </>
  )
}

function Form() {
  const token = useSignal('')
  const plain = useSignal(false)
  const busy = useSignal(false)
  const wrong = useSignal('')
  const wait_s = useSignal(0)
  useEffect(() => {
    const timer = setInterval(() => (wait_s.value = Math.max(0, wait_s.value - 1)), 1000)
    return () => clearInterval(timer)
  }, [])
  const signIn = async (event: Event) => {
    event.preventDefault()
    if (busy.value || wait_s.value > 0) return
    if (token.value === '') {
      wrong.value = t('missing')
      return
    }
    busy.value = true
    wrong.value = ''
    try {
      await post('/v1/session', { body: { token: token.value } })
      goOn()
    } catch (error) {
      if (!(error instanceof Refusal)) throw error
      wait_s.value = error.retryAfter_s ?? 0
      wrong.value = error.problem.status === 0 ? t('unreached') : error.problem.status === 401 ? t('wrong') : error.retryAfter_s === null ? error.problem.detail : ''
      busy.value = false
    }
  }
  return (
    <form onSubmit={event => void signIn(event)}>
      <div class="field">
        <label for="token">{t('token')}</label>
        <input
          id="token"
          class="mono"
          type={(plain.value ? 'text' : 'password') as 'password'}
          autocomplete="current-password"
          autocapitalize="none"
          spellcheck={false}
          aria-describedby="where"
          value={token.value}
          onInput={event => (token.value = event.currentTarget.value)}
        />
        <p class="small" id="where">
          {t('where')}
        </p>
      </div>
      <label class="tick">
        <input type="checkbox" checked={plain.value} onChange={event => (plain.value = event.currentTarget.checked)} />
        {t('show')}
      </label>
      <p role="alert">
        {(wrong.value !== '' || wait_s.value > 0) && <OpenTriangle />}
        {wait_s.value > 0 ? t('too_often', { time: duration(wait_s.value) }) : wrong.value}
      </p>
      <div class="acts">
        <button type="submit" class="solid big" aria-disabled={busy.value || wait_s.value > 0}>
          {busy.value ? t('signing_in') : t('sign_in')}
        </button>
      </div>
    </form>
  )
}
