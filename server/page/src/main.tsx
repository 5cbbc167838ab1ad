import { render } from 'preact'
import { connect } from './live/bar.ts'
import { Guest } from './places/guest/index.tsx'
import { places } from './places/index.ts'
import { SignIn } from './places/sign-in/index.tsx'
import { followLinks, route } from './router.ts'
import { stopOnEscape } from './shell/orders.ts'
import { holds } from './shell/places.tsx'
import { Shell } from './shell/shell.tsx'
import { stayAwake } from './shell/wake-lock.ts'
import './style/index.css'

if (holds('/menu', route.peek().path)) {
  followLinks(path => holds('/menu', path))
  render(<Guest />, document.body)
} else if (holds('/sign-in', route.peek().path)) {
  render(<SignIn />, document.body)
} else {
  followLinks(path => places.some(place => holds(place.path, path)))
  stopOnEscape()
  stayAwake()
  render(<Shell />, document.body)
  connect()
}
