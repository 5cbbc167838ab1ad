// Bottles: what runs out first, then the shelf as it stands.
import { useSignalEffect } from '@preact/signals'
import { Fragment } from 'preact'
import { useEffect } from 'preact/hooks'
import { clockTime, millilitres } from '../../i18n/format.ts'
import { liquids, machine } from '../../live/bar.ts'
import { FilledTriangle, OpenTriangle } from '../../parts/marks.tsx'
import { open, replace, route } from '../../router.ts'
import { t as shellText } from '../../shell/messages.ts'
import { refused } from '../../shell/refused.ts'
import type { Place } from '../place.ts'
import { PATH, swapAddress, swapIn } from './address.ts'
import { Bottle } from './bottle.tsx'
import { t } from './messages.ts'
import { Needs } from './needs.tsx'
import { fewest, runsOutNext, slotsOf, spare, volumeOf, type Slot, type Stock } from './shelf.ts'
import { askStock, stock, swapped, undoSwap } from './stock.ts'
import { contentOf, Swap, swapButtonId } from './swap.tsx'

const View = () => {
  // the machine is asked afresh at every event; what changes the stock is among them
  useSignalEffect(() => {
    if (machine.value !== null) void askStock()
  })
  const title = t('title')
  useEffect(() => void (document.title = title), [title])
  const shown = stock.value
  return (
    <>
      <div class="undo" role="status">
        <Undo />
      </div>
      {shown === null ? <h1 class="title">{t('asking')}</h1> : <Shelf shown={shown} />}
    </>
  )
}

function Shelf({ shown }: { shown: Stock }) {
  const slots = slotsOf(shown, liquids.value)
  const swapping = swapIn(route.value.query)
  const beside = spare(shown.bottles)
  return (
    <>
      <Next slot={runsOutNext(slots, shown.outlook.first)} stock={shown} />
      <Needs slots={slots} />
      <ul class="shelf">
        {slots.map(slot => (
          <Fragment key={slot.channel.number}>
            <Standing slot={slot} swapping={slot.channel.number === swapping} />
            {slot.channel.number === swapping && <Swap slot={slot} bottles={shown.bottles} />}
          </Fragment>
        ))}
      </ul>
      <h2 class="sect">{t('beside')}</h2>
      {beside.length === 0 && <p class="beside">{t('none_spare')}</p>}
      {beside.map(bottle => (
        <p class="lead beside" key={bottle.id}>
          <span>
            {liquids.value.find(liquid => liquid.id === bottle.liquid_id)?.name ?? bottle.liquid_id}, {bottle.id}
          </span>
          <span class="dots" />
          <span class="num">{contentOf(bottle)}</span>
        </p>
      ))}
    </>
  )
}

/** What runs out first, after how many of which drink, and when at the present pace. */
function Next({ slot, stock: { bottles } }: { slot: Slot | undefined; stock: Stock }) {
  const drink = fewest(slot?.outlook)
  if (slot?.outlook === undefined || slot.liquid === undefined) return <h1 class="title">{t('nothing_runs_out')}</h1>
  const liquid = slot.liquid.name
  const others = spare(bottles).filter(bottle => bottle.liquid_id === slot.liquid?.id).length
  const at = slot.outlook.empty_at
  const out = drink?.count === 0
  return (
    <div class="next">
      <p class="it">{t(out ? 'has_run_out' : 'next')}</p>
      <h1 class="title">
        {drink === undefined
          ? liquid
          : out
            ? t('next_short', { liquid, drink: drink.name })
            : t('next_after', { liquid, drink: drink.name, count: drink.count })}
      </h1>
      <p class="small">
        {!out && (at === null ? t('no_pace') : t('at_pace', { time: clockTime(new Date(at)) }))}{' '}
        {others === 0 ? t('no_other') : t('others', { count: others })}
      </p>
    </div>
  )
}

function Standing({ slot, swapping }: { slot: Slot; swapping: boolean }) {
  const { channel, liquid, bottle } = slot
  const number = channel.number
  const toggle = () => (swapping ? replace(PATH) : open(swapAddress(number)))
  return (
    <li class="bottle">
      <div class="tx">
        <p class="ch num">{channel.name === '' ? number : t('channel_at', { number, place: channel.name })}</p>
        <h2>{liquid?.name ?? t('no_liquid')}</h2>
        {bottle !== undefined && <p class="ml num">{millilitres(volumeOf(bottle.content_g, liquid))}</p>}
        <p class="small">
          <Level slot={slot} />
        </p>
        {channel.need !== 'none' && liquid !== undefined && (
          <p class="small need-first">
            <OpenTriangle />
            {t(`first_${channel.need}`)}
          </p>
        )}
      </div>
      <div class="stand">{bottle !== undefined && <Bottle bottle={bottle} liquid={liquid} />}</div>
      <div class="act">
        <button
          type="button"
          id={swapButtonId(number)}
          class={swapping ? 'solid' : undefined}
          aria-expanded={swapping}
          aria-label={liquid === undefined ? t('swap_of', { number }) : t('swap_of_liquid', { number, liquid: liquid.name })}
          onClick={toggle}
        >
          {t('swap')}
        </button>
      </div>
    </li>
  )
}

function Level({ slot: { bottle, outlook } }: { slot: Slot }) {
  if (bottle === undefined) return <>{t('no_bottle')}</>
  const drink = fewest(outlook)
  return (
    <>
      {bottle.level !== 'enough' && (
        <span class="mark-w">
          {bottle.level === 'empty' ? <FilledTriangle /> : <OpenTriangle />}
          {t(bottle.level)}{' '}
        </span>
      )}
      {drink === undefined
        ? t('in_no_drink')
        : drink.count === 0
          ? t.rich('not_one', { drink: drink.name })
          : t.rich('more_of', { drink: drink.name, count: drink.count })}
    </>
  )
}

function Undo() {
  const done = swapped.value
  if (done === null) return null
  const undo = async () => {
    try {
      await undoSwap(done.channel)
      document.getElementById(swapButtonId(done.channel))?.focus()
    } catch (error) {
      refused(error)
    }
  }
  return (
    <div class="notice">
      <p>{t('swapped', { number: done.channel, bottle: done.bottle_id })}</p>
      <button type="button" onClick={() => void undo()}>
        {t('undo')}
      </button>
    </div>
  )
}

export const bottles: Place = { path: PATH, name: () => shellText('bottles'), View }
