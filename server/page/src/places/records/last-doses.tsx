// Beside one pour: the last doses of the channel whose dose came nearest to the end of its tolerance, or beyond it.
import { get } from '../../api/api.ts'
import type { PourView } from '../../api/schema.ts'
import { channelAddress } from './channels.tsx'
import { ControlChart } from './control-chart.tsx'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'
import { worst } from './worst.ts'

const SHOWN = 36
const SECOND_MS = 1000

export function LastDoses({ pour }: { pour: PourView }) {
  const dose = worst(pour.doses)
  if (dose === null || pour.purpose !== 'drink') return null
  return <Chart pour={pour} channel={dose.channel} liquid={dose.liquid_id} />
}

function Chart({ pour, channel, liquid }: { pour: PourView; channel: number; liquid: string }) {
  // until: before it began; the pour itself is the last
  const until = new Date(Date.parse(pour.created_at) + SECOND_MS).toISOString()
  const { answer } = useAsked(`last ${pour.id}`, () => get('/v1/statistics/errors', { query: { channel, liquid, limit: SHOWN, until } }))
  if (answer === null || answer.doses.length === 0) return null
  return (
    <figure class="plot">
      <h2 class="sect">{t('last_doses', { channel })}</h2>
      <ControlChart chart={answer} me={pour.id} low />
      <a class="back" href={channelAddress(channel, liquid)}>
        {t('open_chart', { channel })}
      </a>
    </figure>
  )
}
