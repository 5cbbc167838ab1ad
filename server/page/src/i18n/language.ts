// The language of the page: the one chosen, else the first of the browser's that we have.
import { computed, effect } from '@preact/signals'
import { chosenLanguage } from '../kept.ts'

export const LANGUAGES = ['en', 'de', 'fr'] as const
export type Language = (typeof LANGUAGES)[number]

const known = (tag: string): Language | undefined => LANGUAGES.find(language => tag.toLowerCase().split('-')[0] === language)

export const language = computed<Language>(() => {
  for (const tag of [chosenLanguage.value, ...navigator.languages]) {
    const found = known(tag)
    if (found !== undefined) return found
  }
  return 'en'
})

effect(() => void (document.documentElement.lang = language.value))

/** The language of a text of the API, where it is not the page's: for `lang`. */
export const apiLang = computed(() => (language.value === 'en' ? undefined : 'en'))
