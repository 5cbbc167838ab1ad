// The state of the page is in its address, so that it can be reloaded, shared and gone back to.
import { signal } from '@preact/signals'

export interface Route {
  readonly path: string
  readonly query: URLSearchParams
  readonly hash: string
}

const read = (): Route => ({
  path: location.pathname,
  query: new URLSearchParams(location.search),
  hash: location.hash,
})

export const route = signal<Route>(read())

/** Opens an address of the page; Back returns. */
export function open(address: string): void {
  history.pushState(null, '', address)
  route.value = read()
  scrollTo(0, 0)
}

/** The address of what is open. */
export const addressNow = (): string => {
  const { path, query, hash } = route.value
  return path + (query.size > 0 ? `?${query}` : '') + hash
}

/** For what takes a while and then opens something: tells whether nothing else was opened meanwhile. */
export function stillHere(): () => boolean {
  const here = route.peek()
  return () => route.peek() === here
}

/** Changes the address of what is open, such as a filter; Back skips it. */
export function replace(address: string): void {
  history.replaceState(null, '', address)
  route.value = read()
}

/** Follows links within the page without loading it again. `ours` tells whether a path is of the page. */
export function followLinks(ours: (path: string) => boolean): void {
  addEventListener('popstate', () => (route.value = read()))
  document.addEventListener('click', event => {
    const link = (event.target as Element).closest('a')
    if (link === null || event.defaultPrevented || event.button !== 0) return
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
    if (link.origin !== location.origin || link.target !== '' || link.hasAttribute('download')) return
    if (!ours(link.pathname) || link.getAttribute('href')?.startsWith('#')) return
    event.preventDefault()
    open(link.pathname + link.search + link.hash)
  })
}
