// Times are the daemon's: its clock is taken from the Date of its answers (RFC 9110, 6.6.1), to a second.
let aheadMs = 0

export function noteDate(headers: Headers): void {
  const told = Date.parse(headers.get('Date') ?? '')
  if (Number.isNaN(told)) return
  const ahead = told + 500 - Date.now()
  // the header has whole seconds: keep what agrees, so that the clock does not jump to and fro
  if (Math.abs(ahead - aheadMs) > 1000) aheadMs = ahead
}

/** The daemon's time now. */
export const barNow = (): Date => new Date(Date.now() + aheadMs)
