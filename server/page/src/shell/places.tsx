// The links to the places, in the mast or at the foot.
import { places } from '../places/index.ts'
import { route } from '../router.ts'

export const Places = () => (
  <>
    {places.map(place => (
      <a href={place.path} aria-current={holds(place.path, route.value.path) ? 'page' : undefined} key={place.path}>
        {place.name()}
      </a>
    ))}
  </>
)

/** Whether an address belongs to a place. */
export const holds = (place: string, path: string): boolean =>
  place === '/' ? path === '/' : path === place || path.startsWith(`${place}/`)
