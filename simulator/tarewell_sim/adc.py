"""The load-cell converter: averaging, latency, noise, quantisation, saturation."""

from collections import deque
from random import Random

from .specs import AdcSpec

COUNTS_MIN, COUNTS_MAX = -(2**23), 2**23 - 1

_WEIGHTS = (1 / 24, 11 / 24, 11 / 24, 1 / 24)


class Adc:
    """Weights the means of the last four conversion periods like a fourth-order sinc filter.

    The data sheet of the HX711 gives four conversions of settling (50 ms at 80 samples/s) and an input
    noise; that the filter is a fourth-order sinc is an assumption consistent with it. The impulse response
    of such a filter is the cubic B-spline over four periods, whose period means are 1, 11, 11 and 1
    twenty-fourths. Codes saturate at the ends of 24-bit two's complement.
    """

    def __init__(self, spec: AdcSpec, rng: Random) -> None:
        self._rng, self._noise_counts = rng, spec.noise_counts
        self._means: deque[float] = deque(maxlen=4)
        self.period_s = 1 / (spec.rate_hz * (1 + spec.oscillator_error_percent / 100))

    def convert(self, mean_counts: float) -> int:
        """One code from the mean input over the period that ends now."""
        means = self._means
        means.append(mean_counts)
        while len(means) < 4:
            means.append(mean_counts)
        a, b, c, d = means
        w0, w1, _, _ = _WEIGHTS
        filtered = w0 * (a + d) + w1 * (b + c) + self._rng.gauss(0.0, self._noise_counts)
        return max(COUNTS_MIN, min(COUNTS_MAX, round(filtered)))
