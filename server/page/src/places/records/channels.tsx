// The channels by what their doses missed: one line for each channel and liquid.
import { useEffect } from 'preact/hooks'
import { get } from '../../api/api.ts'
import { machine } from '../../live/bar.ts'
import { t as pours } from './messages.ts'
import { signed } from './names.ts'
import { t } from './statistics-messages.ts'
import { useAsked } from './use-asked.ts'

export const channelAddress = (number: number, liquid: string): string => `/records/channels/${number}?liquid=${encodeURIComponent(liquid)}`

export function Channels() {
  const { answer, refusal } = useAsked(`statistics ${machine.value?.pour_id}`, () => get('/v1/statistics'))
  useEffect(() => void (document.title = pours('title', { what: t('channels') })), [])
  return (
    <>
      <h1 class="title">{t('channels')}</h1>
      {refusal !== null && <p role="alert">{pours('not_read')}</p>}
      {answer === null && refusal === null && <p>{pours('asking')}</p>}
      <p class="small">{answer !== null && t(answer.errors.length === 0 ? 'no_doses' : 'what_errors')}</p>
      {answer !== null && answer.errors.length > 0 && (
        <div class="wide slim" tabIndex={0} role="region" aria-label={t('channels')}>
          <table>
            <thead>
              <tr>
                <th scope="col">{t('liquid_head')}</th>
                <th scope="col" class="r">
                  {t('doses')}
                </th>
                <th scope="col" class="r">
                  {t('mean')}
                </th>
                <th scope="col" class="r">
                  {t('limits')}
                </th>
                <th scope="col" class="r">
                  {t('beyond')}
                </th>
              </tr>
            </thead>
            <tbody>
              {answer.errors.map(({ channel, liquid_id, liquid_name, doses, mean_error_g, limits, beyond }) => (
                <tr class="link" key={`${channel} ${liquid_id}`}>
                  <td class="d">
                    <a href={channelAddress(channel, liquid_id)}>{t('channel_liquid', { channel, liquid: liquid_name })}</a>
                  </td>
                  <td class="r">{doses}</td>
                  <td class="r">{signed(mean_error_g)}</td>
                  <td class="r">{limits === null ? t('too_few') : t('from_to', { lower: signed(limits.lower_g), upper: signed(limits.upper_g) })}</td>
                  <td class={beyond > 0 ? 'r mark-w' : 'r'}>{beyond}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </>
  )
}
