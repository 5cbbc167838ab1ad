import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'

const View = () => (
  <>
    <h1 class="title">{t('drinks')}</h1>
    <p>{t('later')}</p>
  </>
)

export const drinks: Place = { path: '/drinks', name: () => t('drinks'), View }
