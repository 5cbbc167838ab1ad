import { bottles } from './bottles/index.tsx'
import { drinks } from './drinks/index.tsx'
import { now } from './now/index.tsx'
import type { Place } from './place.ts'
import { records } from './records/index.tsx'
import { setup } from './setup/index.tsx'

export const places: readonly Place[] = [now, drinks, bottles, records, setup]
