import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'

const View = () => (
  <>
    <h1 class="title">{t('records')}</h1>
    <p>{t('later')}</p>
  </>
)

export const records: Place = { path: '/records', name: () => t('records'), View }
