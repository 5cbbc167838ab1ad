// The journal: whether it is whole, its entries, and all of it as a file.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import type { JournalEntryView } from '../../api/schema.ts'
import { clockSeconds, shortDay } from '../../i18n/format.ts'
import { apiLang } from '../../i18n/language.ts'
import { machine } from '../../live/bar.ts'
import { FilledTriangle } from '../../parts/marks.tsx'
import { route } from '../../router.ts'
import { Journal } from './journal.tsx'
import { t as pours } from './messages.ts'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'

const SHOWN = 50

export function Entries() {
  const before = Number(route.value.query.get('before')) || null
  const query = before === null ? { limit: SHOWN } : { limit: SHOWN, before }
  const { answer, refusal } = useAsked(`${before} ${machine.value?.pour_id}`, async () => {
    const [entries, journal] = await Promise.all([get('/v1/journal/entries', { query }), get('/v1/journal')])
    return { before, entries, broken: journal.fault?.seq ?? null }
  })
  useEffect(() => void (document.title = pours('title', { what: t('journal') })), [])
  const found = answer?.before === before ? answer : null
  const last = found?.entries.at(-1)?.seq ?? 1
  return (
    <>
      <h1 class="title">{t('journal')}</h1>
      <Journal />
      <div class="filters">
        {before !== null && (
          <a class="btn" href="/records/journal">
            {t('newest')}
          </a>
        )}
        {last > 1 && (
          <a class="btn" href={`/records/journal?before=${last}`}>
            {t('older')}
          </a>
        )}
        {found !== null && found.broken !== null && (
          <a class="btn" href={`/records/journal?before=${found.broken + 3}`}>
            {t('see_entry', { seq: found.broken })}
          </a>
        )}
        <a class="btn plain" href="/v1/journal.jsonl" download>
          {t('export')}
        </a>
      </div>
      {refusal !== null && <p role="alert">{pours('not_read')}</p>}
      {found === null && refusal === null && <p>{pours('asking')}</p>}
      {found !== null && <Table entries={found.entries} broken={found.broken} />}
    </>
  )
}

const Table = ({ entries, broken }: { entries: readonly JournalEntryView[]; broken: number | null }) => (
  <div class="wide slim" tabIndex={0} role="region" aria-label={t('journal')}>
    <table class="entries">
      <thead>
        <tr>
          <th scope="col" class="r">
            {t('entry')}
          </th>
          <th scope="col">{t('kind')}</th>
          <th scope="col">{t('time')}</th>
          <th scope="col">{t('of_pour')}</th>
        </tr>
      </thead>
      <tbody>
        {entries.map(({ seq, at, kind, pour_id, body, hash }) => (
          <tr key={seq}>
            <td class="r">
              {seq === broken ? (
                <span class="mark-w">
                  <FilledTriangle />
                  {seq}
                </span>
              ) : (
                seq
              )}
            </td>
            <td lang={apiLang.value}>
              <details>
                <summary>{kind.replaceAll('_', ' ')}</summary>
                <code>{JSON.stringify(body, null, 1)}</code>
                <code>{hash}</code>
              </details>
            </td>
            <td class="t">{`${shortDay(new Date(at))}, ${clockSeconds(new Date(at))}`}</td>
            <td>{pour_id !== null && <a href={`/records/pours/${pour_id}`}>{pour_id.slice(-6)}</a>}</td>
          </tr>
        ))}
      </tbody>
    </table>
  </div>
)
