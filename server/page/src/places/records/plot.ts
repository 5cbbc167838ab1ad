// The scales of a trace: seconds and grams to the units of its drawing.
import type { TracePictureView } from '../../api/schema.ts'

export const WIDTH = 1000
export const HEIGHT = 400
/** Where the plot is lowest (240 px), so many units are 3 px. */
const THINNEST = 5.5
const TICKS = 5

export interface Scale {
  readonly from: number
  readonly to: number
}

/** Round values within a scale, at most `TICKS + 1` of them; never -0. */
export function ticks({ from, to }: Scale): number[] {
  const rough = (to - from) / TICKS
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = ([1, 2, 5].find(digit => digit * power >= rough) ?? 10) * power
  const found: number[] = []
  for (let index = Math.ceil(from / step); index * step <= to; index++) found.push(index * step + 0)
  return found
}

/** With so many digits the ticks of a scale differ. */
export function tickDigits(scale: Scale): number {
  const [first = 0, second = 1] = ticks(scale)
  return Math.max(0, -Math.floor(Math.log10(second - first) + 1e-9))
}

/** How far into a scale a value is: 0 at its begin, 1 at its end. */
export const within = (scale: Scale, value: number): number => (value - scale.from) / (scale.to - scale.from)

export const across = (scale: Scale, at_s: number): number => tenths(WIDTH * within(scale, at_s))
export const down = (scale: Scale, net_g: number): number => tenths(HEIGHT * (1 - within(scale, net_g)))

const tenths = (value: number) => Math.round(value * 10) / 10

/** From tare to the last thing that is known. */
export function timeScale(trace: TracePictureView): Scale {
  const times = [trace.readings.t_s, trace.mass.t_s].flatMap(at => [at[0] ?? 0, at.at(-1) ?? 0])
  const steps = trace.steps.map(step => step.to_s ?? step.from_s)
  return { from: Math.min(0, ...times), to: Math.max(1, ...times, ...steps) }
}

/** From a little below nothing to above what was wanted and what came. A hand on the platform leaves the picture. */
export function massScale(trace: TracePictureView): Scale {
  const goals = trace.targets.map(target => target.start_g + Math.max(target.target_g, target.planned_g) + (target.tolerance_g ?? 0))
  const came = trace.mass.net_g.reduce((most: number, net_g) => Math.max(most, net_g ?? 0), 0)
  const goal = Math.max(0, ...goals)
  const top = Math.max(1, goal, goal > 0 ? Math.min(came, 1.5 * goal) : came)
  return { from: -0.05 * top, to: 1.12 * top }
}

/** A curve as the path of an SVG; it breaks off where a mass is missing. */
export function path(curve: TracePictureView['mass'], time: Scale, mass: Scale): string {
  let drawn = ''
  let pen = 'M'
  curve.t_s.forEach((at_s, index) => {
    const net_g = curve.net_g[index] ?? null
    if (net_g === null) {
      pen = 'M'
      return
    }
    drawn += `${pen}${across(time, at_s)} ${down(mass, net_g)}`
    pen = 'L'
  })
  return drawn
}

/** The band of a tolerance: never so thin that nobody sees it. */
export function band(mass: Scale, goal_g: number, tolerance_g: number): { readonly y: number; readonly height: number } {
  const height = Math.max(THINNEST, HEIGHT * 2 * tolerance_g / (mass.to - mass.from))
  return { y: tenths(down(mass, goal_g) - height / 2), height: tenths(height) }
}
