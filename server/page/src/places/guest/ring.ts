// Tells the guest by sound and vibration that it is their turn, only if they switched that on.
import { kept } from '../../kept.ts'

const NOTES = [659.3, 523.3] // e'' and c'' in Hz
const NOTE_S = 0.35
const LOUD = 0.3

/** `on`, or ''. */
export const ringing = kept('ring')

let audio: AudioContext | null = null

/** Browsers let a page sound only from a touch on: call it within one. */
export function mayRing(): void {
  if (ringing.value === '' || typeof AudioContext === 'undefined') return
  audio ??= new AudioContext()
  void audio.resume()
}

export function ring(): void {
  if (ringing.value === '') return
  navigator.vibrate?.([300, 150, 300])
  if (audio === null || audio.state !== 'running') return
  for (const [place, pitch] of NOTES.entries()) {
    const from = audio.currentTime + place * NOTE_S
    const tone = audio.createOscillator()
    const volume = audio.createGain()
    tone.frequency.value = pitch
    volume.gain.setValueAtTime(LOUD, from)
    volume.gain.exponentialRampToValueAtTime(0.001, from + NOTE_S)
    tone.connect(volume).connect(audio.destination)
    tone.start(from)
    tone.stop(from + NOTE_S)
  }
}
