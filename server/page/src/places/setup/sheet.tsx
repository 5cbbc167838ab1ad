// What stands around the form of one item: the way back, faults as a count with links, somebody else's change, Save.
import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
import type { FieldError } from '../../api/schema.ts'
import { apiLang } from '../../i18n/language.ts'
import { HoldButton } from '../../parts/hold-button.tsx'
import { OpenTriangle } from '../../parts/marks.tsx'
import { addressOf } from './address.ts'
import { difference, type Editor } from './editor.ts'
import { controlId, Field } from './fields.tsx'
import { t } from './messages.ts'

interface Named {
  readonly name?: string
}

interface Props<D extends Named> {
  readonly editor: Editor<D>
  readonly title: string
  readonly layout?: string
  readonly children: ComponentChildren
}

export function Sheet<D extends Named>({ editor, title, layout, children }: Props<D>) {
  const { what } = editor.kind
  const heading = editor.draft.value === null ? t('asking') : title
  useEffect(() => void (document.title = t('title', { what: heading })), [heading])
  const unread = editor.unread.value
  return (
    <>
      <a class="back" href={addressOf(what)}>
        {t(`all_${what}`)}
      </a>
      <h1 class="title">{heading}</h1>
      {unread !== null && editor.draft.value === null && <p lang={apiLang.value}>{unread.problem.detail}</p>}
      {editor.draft.value !== null && (
        <>
          <Conflict editor={editor} />
          <Faults editor={editor} />
          {editor.stored.value?.active === false && <p class="lasting">{t('is_retired')}</p>}
          <form
            noValidate
            class={layout}
            onSubmit={event => {
              event.preventDefault()
              void editor.save()
            }}
          >
            {children}
          </form>
        </>
      )}
    </>
  )
}

/** The name in the records, of a new item only: it never changes. */
export function IdField<D extends Named>({ editor }: { editor: Editor<D> }) {
  if (editor.of !== null) return null
  return (
    <Field pointer="/id" faults={editor.faults.value} label={t('id')} hint={t('id_hint')}>
      {described => <input {...described} autocomplete="off" spellcheck={false} value={editor.id.value} onInput={event => editor.rename(event.currentTarget.value)} />}
    </Field>
  )
}

export function Acts<D extends Named>({ editor }: { editor: Editor<D> }) {
  const { kind, stored, busy, changed, saved } = editor
  const there = stored.value !== null && stored.value.etag !== ''
  return (
    <div class="saving">
      <p class="small" role="status">
        {saved.value ? t('saved') : changed.value ? t('unsaved') : ''}
      </p>
      <div class="acts">
        <button class="solid big" aria-disabled={busy.value}>
          {busy.value ? t('saving') : t('save')}
        </button>
        {changed.value && (
          <button type="button" class="plain" onClick={() => editor.undo()}>
            {t('undo')}
          </button>
        )}
        {there && kind.remove !== undefined && stored.value?.active === true && kind.what !== 'bottles' && (
          <button type="button" class="plain" onClick={() => void editor.remove()}>
            {t('retire')}
          </button>
        )}
        {there && kind.what === 'bottles' && <HoldButton label={t('discard')} question={t('discard_now')} order={() => editor.remove()} />}
      </div>
    </div>
  )
}

function Faults<D extends Named>({ editor }: { editor: Editor<D> }) {
  const faults = editor.faults.value
  return (
    <div role="alert">
      {faults.length > 0 && (
        <section class="faults">
          <h2>
            <OpenTriangle />
            {t('faults', { count: faults.length })}
          </h2>
          <ul>
            {faults.map(fault => (
              <li key={`${fault.pointer} ${fault.detail}`}>
                <a
                  href={`#${controlId(fault.pointer ?? '')}`}
                  onClick={event => {
                    event.preventDefault()
                    document.getElementById(controlId(fault.pointer ?? ''))?.focus()
                  }}
                >
                  {placeOf(fault)} <span lang={apiLang.value}>{fault.detail}</span>
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
    </div>
  )
}

/** Which field it is about, as the form calls it. */
function placeOf({ pointer }: FieldError): string {
  const id = controlId(pointer ?? '')
  const group = document.getElementById(id)?.closest('[role=group]')?.getAttribute('aria-label')
  const label = document.querySelector(`label[for="${id}"]`)?.textContent
  const place = [group, label].filter(Boolean).join(', ')
  return place === '' ? '' : `${place}:`
}

function Conflict<D extends Named>({ editor }: { editor: Editor<D> }) {
  const [theirs, mine] = [editor.conflict.value, editor.draft.value]
  return (
    <div role="alert">
      {theirs !== null && mine !== null && (
        <section class="alarm conflict">
          <p class="flag">
            <OpenTriangle />
            {t('changed_meanwhile')}
          </p>
          <div class="body">
            <p class="cure">
              <Differs found={difference(editor.kind.lines(theirs.draft), editor.kind.lines(mine))} retired={!theirs.active} />
            </p>
            <div class="acts">
              <button type="button" class="solid" onClick={() => editor.takeTheirs()}>
                {t('take_theirs')}
              </button>
              <button type="button" onClick={() => void editor.keepMine()}>
                {t('keep_mine')}
              </button>
            </div>
          </div>
        </section>
      )}
    </div>
  )
}

function Differs({ found: { first, more }, retired }: { found: ReturnType<typeof difference>; retired: boolean }) {
  if (first === null) return <>{t(retired ? 'differs_retired' : 'differs_not')}</>
  const [what, theirs, mine] = first
  return (
    <>
      {t.rich('differs', { what, theirs: theirs || t('empty_value'), mine: mine || t('empty_value') })} {more > 0 && t('differs_more', { count: more })} {t('not_overwritten')}
    </>
  )
}
