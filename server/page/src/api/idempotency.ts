/** A new idempotency key: 128 random bits. `randomUUID` is not there on a page without TLS. */
export const newKey = (): string => Array.from(crypto.getRandomValues(new Uint8Array(16)), byte => byte.toString(16).padStart(2, '0')).join('')
