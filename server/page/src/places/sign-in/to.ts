/** Where to go after signing in: a place of this page, else Now. `to` comes from the address, so from anybody. */
export function placeOf(to: string | null, origin: string): string {
  if (to === null || !URL.canParse(to, origin)) return '/'
  const url = new URL(to, origin)
  const own = url.origin === origin && to.startsWith('/') && !url.pathname.startsWith('/sign-in')
  return own ? url.pathname + url.search + url.hash : '/'
}
