// Builds the page: one script, one style sheet, and what stands beside them, into the Python package.
import { copyFile, mkdir, readFile, rm } from 'node:fs/promises'
import { build } from 'esbuild'

const TARGET = new URL('../tarewell/page/', import.meta.url).pathname
const source = new URL('src/', import.meta.url).pathname
const program = await readFile(new URL('../tarewell/__init__.py', import.meta.url), 'utf8')
const version = /__version__ = "(.+?)"/.exec(program)?.[1]
if (version === undefined) throw new Error('server/tarewell/__init__.py names no __version__')

await rm(TARGET, { recursive: true, force: true })
await mkdir(TARGET, { recursive: true })
await build({
  entryPoints: { page: `${source}main.tsx` },
  outdir: TARGET,
  bundle: true,
  minify: true,
  format: 'esm',
  target: ['chrome111', 'firefox121', 'safari16.4'],
  jsx: 'automatic',
  jsxImportSource: 'preact',
  define: { PAGE_VERSION: JSON.stringify(version) },
  legalComments: 'eof',
  logLevel: 'warning',
})
for (const file of ['index.html', 'icon.svg', 'manifest.webmanifest']) await copyFile(source + file, TARGET + file)
