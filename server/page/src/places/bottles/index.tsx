import { t } from '../../shell/messages.ts'
import type { Place } from '../place.ts'

const View = () => (
  <>
    <h1 class="title">{t('bottles')}</h1>
    <p>{t('later')}</p>
  </>
)

export const bottles: Place = { path: '/bottles', name: () => t('bottles'), View }
