// What this browser remembers for its user.
import { effect, signal, type Signal } from '@preact/signals'

/** A setting under a key of the browser's store; '' is the default. */
export function kept(key: string): Signal<string> {
  let before = ''
  try {
    before = localStorage.getItem(key) ?? ''
  } catch {
    // a browser that keeps nothing: the default
  }
  const value = signal(before)
  effect(() => {
    try {
      if (value.value === '') localStorage.removeItem(key)
      else localStorage.setItem(key, value.value)
    } catch {
      // as above
    }
  })
  return value
}

/** `light`, `dark`, or '' for what the room's computer prefers. */
export const theme = kept('theme')

/** `en`, `de`, `fr`, or '' for what the browser prefers. */
export const chosenLanguage = kept('language')

/** The ground of each theme, which the browser's own frame takes on; `base.css` has them too. */
const GROUNDS: Readonly<Record<string, string>> = { light: '#efefe9', dark: '#0d0f0e' }

effect(() => {
  for (const frame of document.querySelectorAll<HTMLMetaElement>('meta[name=theme-color]'))
    frame.content = GROUNDS[theme.value || (/light|dark/.exec(frame.media)?.[0] ?? '')] ?? ''
  if (theme.value === '') delete document.documentElement.dataset['theme']
  else document.documentElement.dataset['theme'] = theme.value
})
