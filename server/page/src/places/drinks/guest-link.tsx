// The link for guests: whether the bar is open for orders, the sign to print, and the end of both.
import { useSignal } from '@preact/signals'
import { useEffect, useMemo } from 'preact/hooks'
import { get, post, put, remove } from '../../api/api.ts'
import { newKey } from '../../api/idempotency.ts'
import type { ServiceView } from '../../api/schema.ts'
import { askQueue, askService, service, waiting } from '../../live/queue.ts'
import { StartButton } from '../../parts/start-button.tsx'
import { TwiceButton } from '../../parts/twice-button.tsx'
import { refused } from '../../shell/refused.ts'
import { t } from './messages.ts'

const ONLY_HERE = /^(localhost|127\.\d+\.\d+\.\d+|\[::1\])$/

export function GuestLink() {
  const shown = service.value
  const title = t('link_title')
  useEffect(() => void (document.title = title), [title])
  return (
    <div class="guest-link">
      <a class="back" href="/drinks">
        {t('back')}
      </a>
      <h1 class="title">{t('guest_link')}</h1>
      {shown?.open === true ? <Open shown={shown} /> : <Closed />}
    </div>
  )
}

function Closed() {
  const title = useSignal('')
  const may = useSignal(true)
  const open = async () => {
    await post('/v1/service/open', { body: { title: title.value, guests_may_order: may.value } })
    await post('/v1/service/link')
    await askService()
  }
  return (
    <>
      <p>{t('closed_now')}</p>
      <div class="field">
        <label for="evening">{t('evening')}</label>
        <input id="evening" autocomplete="off" maxLength={100} value={title.value} onInput={event => (title.value = event.currentTarget.value)} />
      </div>
      <label class="tick">
        <input type="checkbox" checked={may.value} onChange={event => (may.value = event.currentTarget.checked)} />
        {t('guests_order')}
      </label>
      <div class="acts">
        <StartButton class="solid big" order={open} doing={t('opening')}>
          {t('open_bar')}
        </StartButton>
      </div>
    </>
  )
}

function Open({ shown }: { shown: ServiceView }) {
  const link = useSignal<string | null>(null)
  const askLink = async () => {
    link.value = shown.has_link ? await get('/v1/service/link').then(found => found.path, () => null) : null
  }
  useEffect(() => void askLink(), [shown])
  const may = async (may_order: boolean) => {
    await put('/v1/service/guests', { body: { may_order } }).catch(refused)
    await askService()
  }
  const close = async () => {
    await post('/v1/service/close')
    await Promise.all([askService(), askQueue()])
  }
  return (
    <>
      <label class="tick">
        <input type="checkbox" checked={shown.guests_may_order} onChange={event => void may(event.currentTarget.checked)} />
        {t('guests_order')}
      </label>
      {link.value === null ? <NoLink /> : <Sign title={shown.title} path={link.value} />}
      <div class="acts">
        <TwiceButton label={t('close_bar')} question={t('close_bar_now')} doing={t('closing')} order={close} />
        <p class="small">{t('close_bar_then', { count: waiting.value.length })}</p>
      </div>
    </>
  )
}

const NoLink = () => (
  <>
    <p>{t('no_link')}</p>
    <div class="acts">
      <StartButton class="solid" order={() => post('/v1/service/link').then(askService)} doing={t('making')}>
        {t('make_link')}
      </StartButton>
    </div>
  </>
)

interface SignProps {
  readonly title: string
  readonly path: string
}

function Sign({ title, path }: SignProps) {
  const { origin, hostname } = location
  // a new link is drawn anew, without its key in the address of the drawing
  const drawing = useMemo(newKey, [path])
  return (
    <>
      <section class="sign">
        <h2>{title}</h2>
        <p>{t('sign_how')}</p>
        <img src={`/v1/service/link/code?${new URLSearchParams({ address: origin, drawing })}`} alt={t('code')} />
        <p class="mono">{origin + path}</p>
        <p class="small">{t('sign_note')}</p>
      </section>
      {ONLY_HERE.test(hostname) && <p class="only-here">{t('only_here')}</p>}
      <div class="acts">
        <button type="button" class="solid" onClick={() => print()}>
          {t('print')}
        </button>
        <TwiceButton label={t('end_link')} question={t('end_link_now')} doing={t('ending')} order={() => remove('/v1/service/link').then(askService)} />
        <p class="small">{t('end_link_then')}</p>
      </div>
    </>
  )
}
