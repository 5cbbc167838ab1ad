// Records: the pours of a day, one pour, and what all of them tell: rounds, channels, use, the journal.
import { route } from '../../router.ts'
import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'
import { Channel } from './channel.tsx'
import { Channels } from './channels.tsx'
import { Entries } from './entries.tsx'
import { List } from './list.tsx'
import { Pour } from './pour.tsx'
import { Rounds } from './rounds.tsx'
import { SubPlaces, SUBS } from './sub.tsx'
import { Use } from './use.tsx'

const View = () => {
  const [, , first, id] = route.value.path.split('/')
  const sub = SUBS.find(known => known === first) ?? 'pours'
  return (
    <>
      <SubPlaces at={sub} />
      {sub === 'rounds' && <Rounds />}
      {sub === 'channels' && (Number(id) > 0 ? <Channel number={Number(id)} key={id} /> : <Channels />)}
      {sub === 'use' && <Use />}
      {sub === 'journal' && <Entries />}
      {sub === 'pours' && (id ? <Pour id={id} key={id} /> : <List />)}
    </>
  )
}

export const records: Place = { path: '/records', name: () => t('records'), View }
