// The scale: what it shows, its calibration, and the guides of one step.
import { useSignal } from '@preact/signals'
import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
import { get, post, remove } from '../../../api/api.ts'
import { clockTime, figure, grams, longDay } from '../../../i18n/format.ts'
import { apiLang } from '../../../i18n/language.ts'
import { refusal, refused } from '../../../shell/refused.ts'
import { addressOf } from '../address.ts'
import { useAsked } from '../../records/use-asked.ts'
import { useAskedAtEvents } from '../listing.tsx'
import { Pair } from '../pair.tsx'
import { Calibrate } from './calibrate.tsx'
import { Mass, RestButton } from './mass.tsx'
import { t } from './messages.ts'

export function Scale({ guide }: { guide: string | null }) {
  switch (guide) {
    case 'calibrate':
      return <Calibrate />
    case 'zero':
      return <Zero />
    case 'tare':
      return <Tare />
    default:
      return <Overview />
  }
}

const GUIDES = ['zero', 'tare'] as const

function Overview() {
  useTitle(t('scale'))
  const { answer: about } = useAsked('about', () => get('/v1/about'))
  return (
    <>
      <h1 class="title">{t('scale')}</h1>
      <div class="cols two">
        <div>
          <Mass />
          {about !== null && <p class="small plate">{t('plate', { max: `${figure(about.scale_max_g, 0)}\u00a0g`, e: grams(about.scale_e_g) })}</p>}
          <div class="acts adding">
            {GUIDES.map(guide => (
              <a class="btn" key={guide} href={addressOf('scale', guide)}>
                {t(guide)}
              </a>
            ))}
            <a class="btn" href={addressOf('cleaning')}>
              {t('prime')}
            </a>
          </div>
        </div>
        <Calibration />
      </div>
    </>
  )
}

function Calibration() {
  const { answer, refusal: why } = useAskedAtEvents('calibration', () => get('/v1/scale/calibration'))
  const made = answer?.calibrated_at == null ? null : new Date(answer.calibrated_at)
  const at = made === null ? '' : `${longDay(made)}, ${clockTime(made)}`
  return (
    <div>
      <h2 class="sect">{t('calibration')}</h2>
      {answer !== null && (
        <dl class="pairs one">
          <Pair name={t('counts_per_g')} value={figure(answer.counts_per_g, 2)} />
          <Pair name={t('zero_counts')} value={figure(answer.zero_counts, 0)} />
          <Pair name={t('made')} value={t(answer.how === 'zero' ? 'made_zero' : 'made_by', { at })} />
        </dl>
      )}
      {answer === null && why?.problem.status === 404 && <p class="lasting">{t('never')}</p>}
      {answer === null && why !== null && why.problem.status !== 404 && <p lang={apiLang.value}>{why.problem.detail}</p>}
      <div class="acts adding">
        <a class="btn" href={addressOf('scale', 'calibrate')}>
          {t('calibrate')}
        </a>
      </div>
    </div>
  )
}

interface GuideProps {
  readonly name: string
  readonly heading: string
  readonly hint: string
  readonly net?: boolean
  readonly said: string
  readonly children: ComponentChildren
}

/** A guide of one step; `said` is what came of it. */
function Guide({ name, heading, hint, net = false, said, children }: GuideProps) {
  useTitle(name)
  return (
    <>
      <a class="back" href={addressOf('scale')}>
        {t('to_scale')}
      </a>
      <div class="guide">
        <p class="it name">{name}</p>
        <h1>{heading}</h1>
        <p class="after">{hint}</p>
        <div class="lasting">
          <Mass net={net} />
        </div>
        <p class="outcome" role="status">
          {said}
        </p>
        <div class="acts adding">
          {children}
          <a class="btn plain" href={addressOf('scale')}>
            {said === '' ? t('leave') : t('to_scale')}
          </a>
        </div>
      </div>
    </>
  )
}

function Zero() {
  const said = useSignal('')
  const zero = async () => {
    await post('/v1/scale/zero')
    said.value = t('zero_done')
  }
  return (
    <Guide name={t('zero')} heading={t('zero_do')} hint={t('zero_hint')} said={said.value}>
      <RestButton label={said.value === '' ? t('zero') : t('again')} order={zero} />
    </Guide>
  )
}

function Tare() {
  const said = useSignal('')
  const tare = async () => {
    const found = await post('/v1/scale/tare')
    said.value = t('tare_done', { mass: grams(found.net_g) })
  }
  const clear = async () => {
    refusal.value = null
    try {
      await remove('/v1/scale/tare')
      said.value = t('tare_cleared')
    } catch (error) {
      refused(error)
    }
  }
  return (
    <Guide name={t('tare')} heading={t('tare_do')} hint={t('tare_hint')} net said={said.value}>
      <RestButton label={said.value === '' ? t('tare') : t('again')} order={tare} />
      <button type="button" onClick={() => void clear()}>
        {t('tare_clear')}
      </button>
    </Guide>
  )
}

export function useTitle(what: string): void {
  useEffect(() => void (document.title = t('title', { what })), [what])
}
