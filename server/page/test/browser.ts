// What the modules of the page need of a browser when they are loaded by Node.
const nothing = () => undefined
Object.assign(globalThis, {
  document: { documentElement: { dataset: {} }, hidden: false, addEventListener: nothing, querySelectorAll: () => [] },
  location: { pathname: '/', search: '', hash: '' },
  localStorage: { getItem: () => null, setItem: nothing, removeItem: nothing },
  addEventListener: nothing,
})
