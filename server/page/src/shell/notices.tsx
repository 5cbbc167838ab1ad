// What concerns every place: a refusal with its cure, a connection that has come back, a page that is too old.
import { effect, useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { apiLang } from '../i18n/language.ts'
import { machine, version } from '../live/bar.ts'
import { reach } from '../live/reach.ts'
import { OpenTriangle } from '../parts/marks.tsx'
import { t } from './messages.ts'
import { refusal } from './refused.ts'

const CONNECTED_MS = 4000

declare const PAGE_VERSION: string

export function Notices() {
  return (
    <div class="notices">
      <div role="alert">
        <Refused />
      </div>
      <div role="status">
        <Connected />
        <Older />
      </div>
    </div>
  )
}

function Refused() {
  const shown = refusal.value
  if (shown === null) return null
  const unreached = shown.problem.status === 0
  return (
    <div class="notice">
      <p>
        <OpenTriangle />
        {unreached ? (
          t(shown.cutOff ? 'refused_unreached' : 'refused_unanswered')
        ) : (
          <span lang={apiLang.value}>{[shown.problem.title, shown.problem.detail].filter(Boolean).join(': ')}</span>
        )}
      </p>
      <button type="button" class="plain" onClick={() => (refusal.value = null)}>
        {t('dismiss')}
      </button>
    </div>
  )
}

function Connected() {
  const shown = useSignal(false)
  useEffect(() => {
    let away = false
    let timer: ReturnType<typeof setTimeout> | undefined
    const end = effect(() => {
      clearTimeout(timer)
      shown.value = reach.value === 'open' && away
      timer = setTimeout(() => (shown.value = false), CONNECTED_MS)
      away = reach.value === 'cut_off'
    })
    return () => (end(), clearTimeout(timer))
  }, [])
  return shown.value ? <p class="notice">{t('connected')}</p> : null
}

/** Never reloads by itself: something may be under way. */
function Older() {
  if (version.value === null || version.value === PAGE_VERSION || machine.value === null) return null
  return (
    <div class="notice">
      <p>{t('older')}</p>
      <button type="button" class="plain" onClick={() => location.reload()}>
        {t('reload')}
      </button>
    </div>
  )
}
