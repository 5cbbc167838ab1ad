// What this browser remembers for its user.
import { useEffect } from 'preact/hooks'
import { chosenLanguage, theme } from '../../kept.ts'
import { Choices } from './fields.tsx'
import { t } from './messages.ts'

const LANGUAGES = [
  { value: 'en', name: 'English' },
  { value: 'de', name: 'Deutsch' },
  { value: 'fr', name: 'Français' },
]

export function ThisPage() {
  const title = t('page')
  useEffect(() => void (document.title = t('title', { what: title })), [title])
  return (
    <>
      <h1 class="title">{title}</h1>
      <p>{t('page_hint')}</p>
      <div class="narrow">
        <div class="field">
          <label for="theme">{t('theme')}</label>
          <select id="theme" value={theme.value} onChange={event => (theme.value = event.currentTarget.value)}>
            <Choices choices={(['', 'light', 'dark'] as const).map(value => ({ value, name: t(`theme_${value === '' ? 'auto' : value}`) }))} />
          </select>
        </div>
        <div class="field">
          <label for="language">{t('language')}</label>
          <select id="language" value={chosenLanguage.value} onChange={event => (chosenLanguage.value = event.currentTarget.value)}>
            <Choices choices={[{ value: '', name: t('language_auto') }, ...LANGUAGES]} />
          </select>
        </div>
      </div>
    </>
  )
}
