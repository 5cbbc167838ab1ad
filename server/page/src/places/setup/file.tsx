// The set-up as one file: save it, or read one in. What is read in is looked at first, with every fault and its line.
import { useSignal, type Signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { post, Refusal } from '../../api/api.ts'
import type { ImportView, PartChangeView, Problem } from '../../api/schema.ts'
import { apiLang, language } from '../../i18n/language.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import { refusal, refused } from '../../shell/refused.ts'
import { t } from './messages.ts'

const WITHIN_MS = 25_000

interface Chosen {
  readonly name: string
  readonly text: string
}

/** What is known of the file: it is being looked at; what it changes, would change, or has wrong. */
type Found =
  | { readonly kind: 'looking' }
  | { readonly kind: 'changing' }
  | { readonly kind: 'answer'; readonly view: ImportView }
  | { readonly kind: 'faults'; readonly problem: Problem }

export function File() {
  const title = t('file')
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  const chosen = useSignal<Chosen | null>(null)
  const found = useSignal<Found | null>(null)
  return (
    <>
      <h1 class="title">{title}</h1>
      <h2 class="sect">{t('download')}</h2>
      <p class="lasting">{t('download_hint')}</p>
      <div class="acts adding">
        <a class="btn" href="/v1/setup" download="tarewell-setup.toml">
          {t('download')}
        </a>
      </div>
      <h2 class="sect">{t('read_in')}</h2>
      <p class="lasting">
        {t('read_hint')} {t('file_caution')}
      </p>
      <div class="field narrow">
        <label for="setup-file">{t('choose_file')}</label>
        <input id="setup-file" type="file" accept=".toml,application/toml" onChange={event => void take(event.currentTarget, chosen, found)} />
      </div>
      <div class="after" aria-live="polite">
        {chosen.value !== null && found.value !== null && <Outcome chosen={chosen} found={found} />}
      </div>
    </>
  )
}

async function take(input: HTMLInputElement, chosen: Signal<Chosen | null>, found: Signal<Found | null>): Promise<void> {
  const file = input.files?.[0]
  if (file === undefined) return
  try {
    chosen.value = { name: file.name, text: await file.text() }
  } catch {
    chosen.value = null
    return refused(new Refusal({ type: 'about:blank', title: file.name, status: 400, detail: t('file_unreadable'), instance: '' }))
  } finally {
    input.value = '' // so that the same file can be chosen again, corrected
  }
  await ask(chosen, true, found)
}

/** What comes of a file that is no longer the one chosen is not shown. */
async function ask(chosen: Signal<Chosen | null>, dry_run: boolean, found: Signal<Found | null>): Promise<void> {
  const file = chosen.value
  if (file === null) return
  refusal.value = null
  found.value = { kind: dry_run ? 'looking' : 'changing' }
  try {
    const view = await post('/v1/setup/import', { query: { dry_run }, toml: file.text }, WITHIN_MS)
    if (chosen.value === file) found.value = { kind: 'answer', view }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    if (chosen.value !== file) return
    if (error.problem.errors != null) found.value = { kind: 'faults', problem: error.problem }
    else {
      found.value = null
      refused(error)
    }
  }
}

function Outcome({ chosen, found }: { chosen: Signal<Chosen | null>; found: Signal<Found | null> }) {
  const [file, now] = [chosen.value, found.value]
  if (file === null || now === null) return null
  if (now.kind === 'faults') return <Faults file={file.name} problem={now.problem} />
  if (now.kind === 'looking' || now.kind === 'changing') return <p>{now.kind === 'looking' ? t('looking', { file: file.name }) : t('changing')}</p>
  const { view } = now
  const count = view.changes.length
  const leave = () => (chosen.value = found.value = null)
  return (
    <>
      <h3 class="outcome">{count === 0 ? t('no_change', { file: file.name }) : t(view.applied ? 'did_change' : 'would_change', { file: file.name, count })}</h3>
      <ul class="changes">
        {view.changes.map(change => (
          <li key={`${change.what} ${change.id}`}>{changeText(change)}</li>
        ))}
      </ul>
      {view.notes.length > 0 && (
        <ul class="changes" lang={apiLang.value}>
          {view.notes.map(note => (
            <li key={note}>
              <span class="mark-n">
                <OpenTriangle />
              </span>
              {note}
            </li>
          ))}
        </ul>
      )}
      <p class="small after">{t('unchanged', { count: view.unchanged })}</p>
      {!view.applied && count > 0 && (
        <div class="acts adding">
          <button type="button" class="solid big" onClick={() => void ask(chosen, false, found)}>
            {t('change_it')}
          </button>
          <button type="button" class="plain" onClick={leave}>
            {t('leave_it')}
          </button>
        </div>
      )}
    </>
  )
}

const WHATS = ['liquid', 'glass', 'recipe', 'channel', 'bottle'] as const

function changeText({ what, id, change, fields }: PartChangeView): string {
  const known = WHATS.find(found => found === what)
  const name = known === undefined ? what : t(`what_${known}`)
  if (change === 'added') return t('change_added', { what: name, id })
  if (change === 'taken back into use') return t('change_back', { what: name, id })
  return t('change_changed', { what: name, id, fields: new Intl.ListFormat(language.value, { type: 'unit' }).format(fields) })
}

const Faults = ({ file, problem: { detail, errors } }: { file: string; problem: Problem }) => (
  <section class="faults">
    <h3>
      <OpenTriangle />
      {t('file_faults', { file })}
    </h3>
    <p lang={apiLang.value}>{detail}</p>
    <ul>
      {errors?.map((fault, index) => (
        <li key={index}>
          {fault.line != null && <b>{t('line', { line: fault.line })} </b>}
          <span lang={apiLang.value}>
            {fault.detail} {fault.pointer != null && fault.pointer !== '' && <code>{fault.pointer}</code>}
          </span>
        </li>
      ))}
    </ul>
  </section>
)
