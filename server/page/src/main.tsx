import { render } from 'preact'
import { connect } from './live/bar.ts'
import { places } from './places/index.ts'
import { followLinks } from './router.ts'
import { stopOnEscape } from './shell/orders.ts'
import { holds } from './shell/places.tsx'
import { Shell } from './shell/shell.tsx'
import { stayAwake } from './shell/wake-lock.ts'
import './style/index.css'

followLinks(path => places.some(place => holds(place.path, path)))
stopOnEscape()
stayAwake()
render(<Shell />, document.body)
connect()
