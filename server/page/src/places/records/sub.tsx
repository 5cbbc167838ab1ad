// The line of words that leads to what Records has beside the pours.
import { useEffect, useRef } from 'preact/hooks'
import { t as place } from '../../shell/messages.ts'
import { t } from './statistics-messages.ts'

export const SUBS = ['pours', 'rounds', 'channels', 'use', 'journal'] as const
type Sub = (typeof SUBS)[number]

export function SubPlaces({ at }: { at: Sub }) {
  const here = useRef<HTMLAnchorElement>(null)
  useEffect(() => here.current?.scrollIntoView({ block: 'nearest', inline: 'nearest' }), [at])
  return (
    <nav class="sub" aria-label={place('records')}>
      {SUBS.map(sub => (
        <a href={sub === 'pours' ? '/records' : `/records/${sub}`} aria-current={sub === at ? 'page' : undefined} ref={sub === at ? here : null} key={sub}>
          {t(sub)}
        </a>
      ))}
    </nav>
  )
}
