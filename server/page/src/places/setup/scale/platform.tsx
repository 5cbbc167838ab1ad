// The platform from above, with the mass on it: its front is the lower edge.
import { t } from './messages.ts'

/** Front left, front right, back right, back left, as the API takes them. */
export const PLACES = ['front_left', 'front_right', 'back_right', 'back_left'] as const
export type PlaceOfMass = (typeof PLACES)[number]

/** The middle of each quarter. */
const AT: Readonly<Record<PlaceOfMass, readonly [x: number, y: number]>> = {
  front_left: [-27.5, 27.5],
  front_right: [27.5, 27.5],
  back_right: [27.5, -27.5],
  back_left: [-27.5, -27.5],
}

export function Platform({ mass, place }: { mass: string; place?: PlaceOfMass | undefined }) {
  const [x, y] = place === undefined ? [0, 0] : AT[place]
  return (
    <svg class="platform" viewBox="-60 -60 120 128" role="img" aria-label={place === undefined ? t('platform') : t('platform_at', { place: t(place) })}>
      <rect x="-55" y="-55" width="110" height="110" rx="4" class="g-wall" />
      <path class="g-later" d="M-55 0H55M0-55V55" />
      <circle cx={x} cy={y} r="21" class="weight" />
      <text x={x} y={y + 2} text-anchor="middle" class="on-weight" aria-hidden="true">
        {mass}
      </text>
      <text y="66" text-anchor="middle" class="on-weight" aria-hidden="true">
        {t('front')}
      </text>
    </svg>
  )
}
