// The items of one kind as lines of a programme.
import { useSignalEffect } from '@preact/signals'
import type { VNode } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { apiLang } from '../../i18n/language.ts'
import { machine } from '../../live/bar.ts'
import { useAsked } from '../records/use-asked.ts'
import { addingTo, addressOf, type Listed } from './address.ts'
import { t } from './messages.ts'

export interface Row {
  readonly id: string
  readonly name: string
  readonly figure: string
  readonly active: boolean
  readonly picture?: VNode
}

interface Props {
  readonly what: Listed
  readonly rows: () => Promise<readonly Row[]>
  /** Whether more can be added. */
  readonly adds?: boolean
}

export function Listing({ what, rows, adds = true }: Props) {
  const { answer, refusal } = useAskedAtEvents(what, rows)
  const title = t(what)
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  const [used, retired] = [answer?.filter(row => row.active) ?? [], answer?.filter(row => !row.active) ?? []]
  return (
    <>
      <h1 class="title">{title}</h1>
      {answer === null && <p lang={refusal === null ? undefined : apiLang.value}>{refusal === null ? t('asking') : refusal.problem.detail}</p>}
      {answer?.length === 0 && <p>{t('none_yet')}</p>}
      <Rows what={what} rows={used} />
      {adds && answer !== null && (
        <div class="acts adding">
          <a class="btn" href={addingTo(what)}>
            {t(`add_${what}`)}
          </a>
        </div>
      )}
      {retired.length > 0 && (
        <>
          <h2 class="sect">{t(what === 'bottles' ? 'used_up' : 'retired')}</h2>
          <Rows what={what} rows={retired} />
        </>
      )}
    </>
  )
}

const Rows = ({ what, rows }: { what: Listed; rows: readonly Row[] }) => (
  <ul class="lines">
    {rows.map(row => (
      <li key={row.id}>
        <a class="lead" href={addressOf(what, row.id)}>
          {row.picture}
          <span>{row.name}</span>
          <span class="dots" />
          <span class="figure">{row.figure}</span>
        </a>
      </li>
    ))}
  </ul>
)

/** Asks afresh at every event, of which a change by somebody else is one. */
export function useAskedAtEvents<A>(key: string, ask: () => Promise<A>) {
  const [round, setRound] = useState(0)
  useSignalEffect(() => {
    if (machine.value !== null) setRound(before => before + 1)
  })
  return useAsked(`${key} ${round}`, ask)
}
