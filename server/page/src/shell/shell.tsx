// What stands around every place.
import { places } from '../places/index.ts'
import { route } from '../router.ts'
import { Foot } from './foot.tsx'
import { Mast } from './mast.tsx'
import { t } from './messages.ts'
import { Notices } from './notices.tsx'
import { holds } from './places.tsx'
import { Rail } from './rail.tsx'

export function Shell() {
  const place = places.find(found => holds(found.path, route.value.path)) ?? places[0]
  if (place === undefined) return null
  const { View } = place
  return (
    <>
      <a class="skip" href="#main">
        {t('skip')}
      </a>
      <Mast />
      <Rail />
      <Notices />
      <main id="main" tabIndex={-1}>
        <View />
      </main>
      <Foot />
    </>
  )
}
