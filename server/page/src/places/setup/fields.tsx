// Fields of a form, each with what the API says of it.
import type { ComponentChildren } from 'preact'
import type { FieldError } from '../../api/schema.ts'
import { apiLang } from '../../i18n/language.ts'
import { OpenTriangle } from '../../parts/marks.tsx'
import type { Editor } from './editor.ts'

interface Described {
  readonly id: string
  readonly 'aria-invalid'?: true
  readonly 'aria-describedby'?: string
}

interface FieldProps {
  /** Where the value stands in the body of the request (RFC 6901). */
  readonly pointer: string
  readonly faults: readonly FieldError[]
  readonly label: string
  readonly hint?: string | undefined
  readonly children: (described: Described) => ComponentChildren
}

/** The id of the control for a place in the body. */
export const controlId = (pointer: string): string => `f${pointer.replaceAll('/', '-')}`

export function Field({ pointer, faults, label, hint, children }: FieldProps) {
  const id = controlId(pointer)
  const fault = faults.find(found => found.pointer === pointer)
  const described = [...(hint === undefined ? [] : [`${id}-hint`]), ...(fault === undefined ? [] : [`${id}-fault`])].join(' ')
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {children({ id, ...(fault === undefined ? {} : { 'aria-invalid': true }), ...(described === '' ? {} : { 'aria-describedby': described }) })}
      {hint !== undefined && (
        <p class="small" id={`${id}-hint`}>
          {hint}
        </p>
      )}
      {fault !== undefined && (
        <p class="fault" id={`${id}-fault`} lang={apiLang.value}>
          <OpenTriangle />
          {fault.detail}
        </p>
      )}
    </div>
  )
}

type TextKeys<D> = { [K in keyof D]: D[K] extends string ? K : never }[keyof D] & string

interface OfDraft<D extends { readonly name?: string }> {
  readonly editor: Editor<D>
  readonly name: TextKeys<D>
  readonly label: string
  readonly hint?: string | undefined
  /** Where the API points, unless at the name. */
  readonly pointer?: string
}

const valueOf = <D extends { readonly name?: string }>(editor: Editor<D>, name: TextKeys<D>): string => (editor.draft.value?.[name] as string | undefined) ?? ''

const changeTo = <D extends { readonly name?: string }>(editor: Editor<D>, name: TextKeys<D>, value: string): void => editor.change({ [name]: value } as unknown as Partial<D>)

interface TextProps<D extends { readonly name?: string }> extends OfDraft<D> {
  readonly class?: string
  readonly inputMode?: 'decimal'
}

export const TextField = <D extends { readonly name?: string }>({ editor, name, label, hint, pointer, ...rest }: TextProps<D>) => (
  <Field pointer={pointer ?? `/${name}`} faults={editor.faults.value} label={label} hint={hint}>
    {described => <input autocomplete="off" {...rest} {...described} value={valueOf(editor, name)} onInput={event => changeTo(editor, name, event.currentTarget.value)} />}
  </Field>
)

/** A figure; without one the field is empty. */
export const FigureField = <D extends { readonly name?: string }>(props: OfDraft<D>) => <TextField {...props} inputMode="decimal" />

export interface Choice {
  readonly value: string
  readonly name: string
}

interface ChoosingProps<D extends { readonly name?: string }> extends OfDraft<D> {
  readonly choices: readonly Choice[]
}

export const ChoiceField = <D extends { readonly name?: string }>({ editor, name, label, hint, pointer, choices }: ChoosingProps<D>) => (
  <Field pointer={pointer ?? `/${name}`} faults={editor.faults.value} label={label} hint={hint}>
    {described => (
      <select {...described} value={valueOf(editor, name)} onChange={event => changeTo(editor, name, event.currentTarget.value)}>
        <Choices choices={choices} />
      </select>
    )}
  </Field>
)

export const Choices = ({ choices }: { choices: readonly Choice[] }) => (
  <>
    {choices.map(choice => (
      <option key={choice.value} value={choice.value}>
        {choice.name}
      </option>
    ))}
  </>
)

export const NoteField = <D extends { readonly name?: string; readonly note: string }>({ editor, label }: { editor: Editor<D>; label: string }) => (
  <Field pointer="/note" faults={editor.faults.value} label={label}>
    {described => <textarea rows={2} {...described} value={editor.draft.value?.note ?? ''} onInput={event => editor.change({ note: event.currentTarget.value } as unknown as Partial<D>)} />}
  </Field>
)
