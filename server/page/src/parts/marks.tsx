// Shapes that go with a word: filled triangle for held or aborted, open triangle for noted or unknown, octagon for the
// emergency stop, square for stop, bar for at rest, wave for still moving.
export const FilledTriangle = () => (
  <svg viewBox="0 0 24 22" aria-hidden="true">
    <path d="M12 0L24 22H0Z" fill="currentColor" />
    <path class="m-cut" d="M12 7.5v7M12 17v2.2" stroke-width="2.6" />
  </svg>
)

export const OpenTriangle = () => (
  <svg viewBox="0 0 24 22" aria-hidden="true">
    <path d="M12 2.4L22 20.6H2Z" fill="none" stroke="currentColor" stroke-width="2.2" />
    <path d="M12 8.5v6M12 16.4v2" stroke="currentColor" stroke-width="2.2" />
  </svg>
)

export const Octagon = () => (
  <svg viewBox="0 0 24 24" aria-hidden="true">
    <path d="M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z" fill="none" stroke="currentColor" stroke-width="2" />
    <path d="M9.3 6h5.4L18 9.3v5.4L14.7 18H9.3L6 14.7V9.3z" fill="currentColor" />
  </svg>
)

export const Square = () => (
  <svg viewBox="0 0 10 10" aria-hidden="true">
    <path d="M0 0h10v10H0z" fill="currentColor" />
  </svg>
)

export const Bar = () => (
  <svg viewBox="0 0 10 10" aria-hidden="true">
    <path d="M0 4h10v2H0z" fill="currentColor" />
  </svg>
)

export const Wave = () => (
  <svg viewBox="0 0 10 10" aria-hidden="true">
    <path d="M0 5c1.7-4 3.3-4 5 0s3.3 4 5 0" fill="none" stroke="currentColor" stroke-width="1.6" />
  </svg>
)

export const Mark = () => (
  <svg viewBox="0 0 20 24" aria-hidden="true">
    <path d="M2 1l2 17h12l2-17" fill="none" stroke="currentColor" stroke-width="2" />
    <path d="M3.2 11h13.6" stroke="currentColor" stroke-width="2" />
    <path d="M0 22.5h20" stroke="currentColor" stroke-width="3" />
  </svg>
)
