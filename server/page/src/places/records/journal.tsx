// Whether the journal still says what was written into it.
import { useState } from 'preact/hooks'
import { get, post } from '../../api/api.ts'
import type { JournalView, SealView } from '../../api/schema.ts'
import { clockTime } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { FilledTriangle } from '../../parts/marks.tsx'
import { refused } from '../../shell/refused.ts'
import { t } from './messages.ts'
import { useAsked } from './use-asked.ts'

const ASK_AGAIN_MS = 1000

/** The journal's state at the end of the list. */
export function Journal() {
  const [round, setRound] = useState(0)
  const again = () => setRound(before => before + 1)
  const { answer } = useAsked(`journal ${round}`, async () => {
    const found = await get('/v1/journal')
    if (found.checking) setTimeout(again, ASK_AGAIN_MS)
    return found
  })
  if (answer === null) return null
  const check = () => post('/v1/journal/check').then(again, refused)
  return (
    <div class="chain">
      <State journal={answer} />
      {answer.checked_hash !== null && (
        <p class="small">
          {t('last_hash')} <code>{answer.checked_hash}</code>
        </p>
      )}
      {!answer.checking && (
        <button type="button" class="plain" onClick={() => void check()}>
          {t('check')}
        </button>
      )}
    </div>
  )
}

function State({ journal }: { journal: JournalView }) {
  if (journal.state === 'broken') return <Broken journal={journal} />
  if (journal.checking) return <p role="status">{t('journal_checking')}</p>
  if (journal.failure !== null)
    return (
      <p>
        {t('journal_failed')} <span lang={apiLang.value}>{journal.failure}</span>
      </p>
    )
  if (journal.state === 'unchecked' || journal.checked_at === null) return <p role="status">{t('journal_unchecked', { count: journal.entries })}</p>
  return <p role="status">{t('journal_whole', { count: journal.checked_entries ?? 0, time: clockTime(new Date(journal.checked_at)) })}</p>
}

function Broken({ journal: { fault } }: { journal: JournalView }) {
  const seq = fault?.seq ?? null
  return (
    <p role="alert">
      <span class="mark-w">
        <FilledTriangle />
        {seq === null ? t('journal_broken') : t('journal_broken_at', { seq })}
      </span>{' '}
      <span lang={apiLang.value}>{fault?.message}</span>
    </p>
  )
}

/** What seals one pour. */
export function Seal({ pourId, seals }: { pourId: string; seals: readonly SealView[] }) {
  const { answer } = useAsked('journal', () => get('/v1/journal'))
  const entries = seals.map(seal => seal.seq).join(', ')
  const last = Math.max(...seals.map(seal => seal.seq))
  const held = answer?.state === 'whole' && answer.checked_at !== null && (answer.checked_entries ?? 0) >= last
  return (
    <div class="chain">
      {seals.length === 0 ? (
        <p>{t('not_sealed')}</p>
      ) : (
        <p>
          {t('sealed', { entries })}{' '}
          {answer !== null && answer.state !== 'broken' && (held ? t('seal_holds', { time: clockTime(new Date(answer.checked_at ?? '')) }) : t('seal_unchecked'))}
        </p>
      )}
      {answer?.state === 'broken' && <Broken journal={answer} />}
      <p class="small">
        <code>{pourId}</code>
      </p>
    </div>
  )
}
