// Records: the pours of a day, and one pour.
import { route } from '../../router.ts'
import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'
import { List } from './list.tsx'
import { Pour } from './pour.tsx'

const ONE = /^\/records\/pours\/([\w-]+)$/

const View = () => {
  const id = ONE.exec(route.value.path)?.[1]
  return id === undefined ? <List /> : <Pour id={id} key={id} />
}

export const records: Place = { path: '/records', name: () => t('records'), View }
