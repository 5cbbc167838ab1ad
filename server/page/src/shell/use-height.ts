// The bars that stay at the ends of the window tell the style sheet how high they are: both ends of the page, and
// whatever has the focus, stay clear of them.
import { useLayoutEffect, useRef } from 'preact/hooks'

/** For the bar's element; the property holds its height as long as it is there. */
export function useHeight(property: '--above' | '--below') {
  const bar = useRef<HTMLElement>(null)
  useLayoutEffect(() => {
    const { current } = bar
    if (current === null) return
    const { style } = document.documentElement
    const tell = () => style.setProperty(property, `${current.offsetHeight}px`)
    const seen = new ResizeObserver(tell)
    tell()
    seen.observe(current)
    return () => {
      seen.disconnect()
      style.removeProperty(property)
    }
  }, [property])
  return bar
}
