"""How long must which speakers wait, and which way round is the bass box joined?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.measurement import Measurement
from basswright.records.tuning import Delay, Polarity

SPEED_OF_SOUND_M_PER_S = 343.2  # dry air at 20 C; ISO 9613-1 formula
_LONGEST_S = 0.015


def from_distances(bass_distance_m: float, front_distance_m: float) -> Delay:
    """Return the delay that lets both arrive together, from the distances to the ear.

    The nearer speakers wait for ``(d_far - d_near) / c``. Filters on either side delay
    too; Linkwitz-Riley filters of equal corner and slope delay both alike, others do not,
    so the polarity is to be tried both ways.
    """
    for name, value in (("bass", bass_distance_m), ("front", front_distance_m)):
        if not 0.1 <= value <= 12:
            raise InputError(
                "not a distance inside a car",
                field=f"{name}_distance_m",
                value=value,
                allowed="0.1 to 12 m",
            )
    difference = (bass_distance_m - front_distance_m) / SPEED_OF_SOUND_M_PER_S
    return Delay(
        on="front" if difference > 0 else "bass" if difference < 0 else "neither",
        delay_s=abs(difference),
        polarity="normal",
        how="distances",
        note="play both together and try both polarities; keep the one that is louder "
        "around the crossover",
    )


def from_measurements(
    bass: Measurement, front: Measurement, *, together: Measurement, crossover_hz: float
) -> Delay:
    """Return delay and polarity from three recordings at the same place.

    Each recording starts at its own time, so the time between bass and front is not in
    the first two; it is found from how the two add up when they play together, and then
    chosen so that they add up best over one octave around the crossover.

    Raises
    ------
    InputError
        When the recordings have no common range around the crossover.
    """
    frequency = np.geomspace(crossover_hz / 2, crossover_hz * 2, 97)
    known = min(one.frequency_hz[-1] for one in (bass, front, together))
    if known < crossover_hz * 1.4:
        raise InputError(
            "the sweep ends below the crossover region",
            field="stop_hz",
            value=float(known),
            allowed=f"at least {1.4 * crossover_hz:.0f} Hz",
        )
    frequency = frequency[frequency <= known]
    low, mid = _complex_at(bass, frequency), _complex_at(front, frequency)
    both = _complex_at(together, frequency)
    shifts = np.linspace(-_LONGEST_S, _LONGEST_S, 601)
    late, sign = _as_recorded(frequency, low, mid, both=both, shifts_s=shifts)
    octave = np.abs(np.log2(frequency / crossover_hz)) <= 0.5
    recorded = sign * low * np.exp(-2j * np.pi * frequency * late)
    return _best(frequency[octave], bass=recorded[octave], front=mid[octave], waits_s=shifts)


def _as_recorded(
    frequency: NDArray[np.float64],
    bass: NDArray[np.complex128],
    front: NDArray[np.complex128],
    *,
    both: NDArray[np.complex128],
    shifts_s: NDArray[np.float64],
) -> tuple[float, int]:
    """Return time shift and sign of the bass that turn bass and front into both.

    Least squares of ``S e^(-jws) - F - (+-) B e^(-jwt)`` over the two unknown times s
    and t; the square is expanded, so that each term depends on one time only.
    """
    weight = 1 / (np.abs(bass) ** 2 + np.abs(front) ** 2)

    def correlation(
        one: NDArray[np.complex128], other: NDArray[np.complex128], times: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        turned = np.exp(-2j * np.pi * frequency * times[:, None])
        return np.asarray((turned @ (weight * one * other.conj())).real, dtype=np.float64)

    count = shifts_s.size
    step = shifts_s[1] - shifts_s[0]
    apart = np.arange(-count + 1, count) * step
    both_front = correlation(both, front, shifts_s)
    both_bass = correlation(both, bass, apart)
    front_bass = correlation(bass, front, shifts_s)
    index = np.arange(count)
    crossed = both_bass[index[:, None] - index[None, :] + count - 1]  # [s, t]
    costs = [-both_front[:, None] - sign * crossed + sign * front_bass[None, :] for sign in (1, -1)]
    best = int(np.argmin(costs))
    flip, rest = divmod(best, count * count)
    return float(shifts_s[rest % count]), (1, -1)[flip]


def _best(
    frequency: NDArray[np.float64],
    *,
    bass: NDArray[np.complex128],
    front: NDArray[np.complex128],
    waits_s: NDArray[np.float64],
) -> Delay:
    """Return the change of delay and polarity that makes the sum loudest.

    `waits_s` are delays of the bass to be added, negative ones delays of the front;
    a millisecond of waiting has to be worth 0.2 dB.
    """
    turned = bass * np.exp(-2j * np.pi * frequency * waits_s[:, None])
    sums = np.array([_db(front + flip * turned).mean(axis=1) for flip in (1, -1)])
    gained = sums - _db(front + bass).mean()
    flip, best = np.unravel_index(int(np.argmax(gained - 200 * np.abs(waits_s))), sums.shape)
    wait = float(waits_s[best])
    polarity: Polarity = "normal" if flip == 0 else "reversed"
    return Delay(
        on="bass" if wait > 5e-5 else "front" if wait < -5e-5 else "neither",
        delay_s=abs(wait),
        polarity=polarity,
        how="measurement",
        note=f"{gained[flip, best]:.1f} dB more around the crossover than as recorded",
    )


def _complex_at(one: Measurement, frequency: NDArray[np.float64]) -> NDArray[np.complex128]:
    level = np.interp(frequency, one.frequency_hz, one.level_db)
    phase = np.interp(frequency, one.frequency_hz, one.phase_rad)
    return np.asarray(10 ** (level / 20) * np.exp(1j * phase), dtype=np.complex128)


def _db(pressure: NDArray[np.complex128]) -> NDArray[np.float64]:
    return np.asarray(20 * np.log10(np.maximum(np.abs(pressure), 1e-12)), dtype=np.float64)
