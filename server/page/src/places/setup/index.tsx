import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'

const View = () => (
  <>
    <h1 class="title">{t('setup')}</h1>
    <p>{t('setupFile')}</p>
  </>
)

export const setup: Place = { path: '/setup', name: () => t('setup'), View }
