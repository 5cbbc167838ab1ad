// Set-up: what the bar has, each in a form; the scale, cleaning, the set-up as a file, this page.
import { useEffect, useRef } from 'preact/hooks'
import { route } from '../../router.ts'
import { t as shellText } from '../../shell/messages.ts'
import type { Place } from '../place.ts'
import { addressOf, PARTS, PATH, whereIn, type Where } from './address.ts'
import { Cleaning } from './cleaning.tsx'
import { File } from './file.tsx'
import { Bottle, Bottles } from './items/bottles.tsx'
import { Channel, Channels } from './items/channels.tsx'
import { Glass, Glasses } from './items/glasses.tsx'
import { Liquid, Liquids } from './items/liquids.tsx'
import { Recipe, Recipes } from './items/recipes.tsx'
import { t } from './messages.ts'
import { ThisPage } from './page.tsx'
import { Scale } from './scale/scale.tsx'

const View = () => {
  const where = whereIn(route.value)
  const sub = useRef<HTMLElement>(null)
  useEffect(() => sub.current?.querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'nearest' }), [where.part])
  return (
    <>
      <nav class="sub" ref={sub} aria-label={shellText('setup')}>
        {PARTS.map(part => (
          <a key={part} href={addressOf(part)} aria-current={part === where.part ? 'page' : undefined}>
            {t(part)}
          </a>
        ))}
      </nav>
      <Chosen key={`${where.part} ${where.one} ${where.adding}`} where={where} />
    </>
  )
}

function Chosen({ where: { part, one, adding } }: { where: Where }) {
  const lists = one === null && !adding
  switch (part) {
    case 'recipes':
      return lists ? <Recipes /> : <Recipe id={one} />
    case 'liquids':
      return lists ? <Liquids /> : <Liquid id={one} />
    case 'glasses':
      return lists ? <Glasses /> : <Glass id={one} />
    case 'channels':
      return one === null ? <Channels /> : <Channel id={one} />
    case 'bottles':
      return lists ? <Bottles /> : <Bottle id={one} />
    case 'scale':
      return <Scale guide={one} />
    case 'cleaning':
      return <Cleaning />
    case 'file':
      return <File />
    case 'page':
      return <ThisPage />
  }
}

export const setup: Place = { path: PATH, name: () => shellText('setup'), View }
