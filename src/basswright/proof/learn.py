"""What do measured cars say about the next one of their kind?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.measurement import Measurement
from basswright.records.system import Prediction

Floats = NDArray[np.float64]

_BAND = 1.6449  # half of a 90 % band of a normal distribution, in sigma
_SHARES = np.array([0.1, 0.25, 0.4, 0.55, 0.7, 0.82, 0.9, 0.96])
_SCALES = np.array([0.35, 0.5, 0.7, 1.0, 1.4, 2.0])
_COMMON, _OCTAVES = 0.3, 0.5
#: Above it seats and people decide, which differ within a kind and in no model.
_HIGHEST_HZ = 90.0
_LEVEL_DB = 0.7  # of a measurement on another day: microphone and its place, all frequencies
_WHITE_DB = 0.3  # of a single frequency


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """How far one measured car was off its prediction.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
    deviation_db : ndarray, shape (f,)
        Measured less predicted level.
    spread_db : ndarray, shape (f,)
        Standard deviation of the prediction before anything was learned.
    """

    frequency_hz: Floats
    deviation_db: Floats
    spread_db: Floats


def lesson(measured: Measurement, prediction: Prediction) -> Lesson:
    """Return what a measured car teaches, on twelve frequencies an octave.

    `prediction` has to be the one from the models alone, without lessons.

    Raises
    ------
    InputError
        When the microphone's level is not known, or the recording is not usable.
    """
    if not measured.absolute or not measured.usable:
        raise InputError(
            "a car can be learned from only with a usable recording of known level",
            item="measurement",
        )
    low = max(measured.frequency_hz[0], prediction.frequency_hz[0], 16.0)
    high = min(measured.frequency_hz[-1], prediction.frequency_hz[-1], _HIGHEST_HZ)
    grid = np.geomspace(low, high, max(4, round(12 * np.log2(high / low)) + 1))
    middle = _at(grid, prediction.frequency_hz, prediction.level_db)
    band = prediction.level_high_db - prediction.level_low_db
    return Lesson(
        frequency_hz=grid,
        deviation_db=_at(grid, measured.frequency_hz, measured.level_db) - middle,
        spread_db=_at(grid, prediction.frequency_hz, band) / (2 * _BAND),
    )


def learned(prediction: Prediction, lessons: Sequence[Lesson]) -> Prediction:
    """Return the prediction with what measured cars of the same kind say about it.

    Parameters
    ----------
    prediction : Prediction
        From the models alone.
    lessons : sequence of Lesson
        Of cars of that kind; none leaves the prediction as it is.

    Notes
    -----
    A car's deviation is ``d = m + e``: m is common to the kind, e its own. Both are
    Gaussian processes over log frequency with the shape of the prediction's band; which
    share of the variance is common, and whether the band was drawn too wide or too
    narrow, is averaged over by how well each explains the lessons (Gelman et al.,
    "Bayesian Data Analysis", 3rd ed., 2013, ch. 5). Levels and bands move together; the
    loudest level moves by the same, except that its band stays at least as wide.
    """
    if not lessons:
        return prediction
    frequency = prediction.frequency_hz
    band = (prediction.level_high_db - prediction.level_low_db) / (2 * _BAND)
    mean, spread = shift_and_spread(frequency, band, lessons)
    ratio = spread / band
    louder_low = prediction.loudest_db - prediction.loudest_low_db
    louder_high = prediction.loudest_high_db - prediction.loudest_db
    middle, loudest = prediction.level_db + mean, prediction.loudest_db + mean
    return replace(
        prediction,
        level_db=middle,
        level_low_db=middle - _BAND * spread,
        level_high_db=middle + _BAND * spread,
        loudest_db=loudest,
        loudest_low_db=loudest - louder_low * ratio,
        loudest_high_db=loudest + louder_high * ratio,
        cabin_model=f"{prediction.cabin_model}; corrected by {len(lessons)} measured "
        f"car{'s' if len(lessons) != 1 else ''} of this kind",
    )


def shift_and_spread(
    frequency_hz: Floats, spread_db: Floats, lessons: Sequence[Lesson]
) -> tuple[Floats, Floats]:
    """Return the expected deviation of the next car and its standard deviation [dB].

    Parameters
    ----------
    frequency_hz, spread_db : ndarray, shape (f,)
        Where it is wanted, and the model's own standard deviation there.
    lessons : sequence of Lesson

    Returns
    -------
    mean_db, spread_db : ndarray, shape (f,)
    """
    knots = lessons[0].frequency_hz
    deviations = np.array([_at(knots, one.frequency_hz, one.deviation_db) for one in lessons])
    spread = np.mean([_at(knots, one.frequency_hz, one.spread_db) for one in lessons], axis=0)
    kernel = _kernel(knots, knots) * spread[:, None] * spread[None, :]
    across = _kernel(frequency_hz, knots) * spread_db[:, None] * spread[None, :]
    own = spread_db**2
    means, variances, scores = [], [], []
    for scale in _SCALES:
        for share in _SHARES:
            answer = _given(deviations, kernel * scale**2, across * scale**2, share=share)
            means.append(answer[0])
            variances.append(own * scale**2 - answer[1])
            scores.append(answer[2] - 0.5 * (np.log(scale) / 0.35) ** 2)
    weight = np.exp(np.array(scores) - max(scores))
    weight /= weight.sum()
    mean = weight @ np.array(means)
    variance = weight @ (np.array(variances) + (np.array(means) - mean) ** 2)
    return mean, np.sqrt(np.maximum(variance, 0.25))


def _given(
    deviations: Floats, kernel: Floats, across: Floats, *, share: float
) -> tuple[Floats, Floats, float]:
    """Return mean, variance taken away and evidence, for a share that is common.

    The mean over n cars is enough for the common part; the scatter about it only tells
    how likely the share is.
    """
    count, size = deviations.shape
    noise = _WHITE_DB**2 * np.eye(size) + _LEVEL_DB**2
    single = (1 - share) * kernel + noise
    total = share * kernel + single / count
    average = deviations.mean(axis=0)
    solved = np.linalg.solve(total, average)
    gain = share * across
    taken = np.einsum("ij,ij->i", gain, np.linalg.solve(total, gain.T).T)
    score = -0.5 * average @ solved - 0.5 * np.linalg.slogdet(total)[1]
    if count > 1:
        rest = deviations - average
        inside = np.einsum("ij,ij->", rest, np.linalg.solve(single, rest.T).T)
        score += -0.5 * inside - 0.5 * (count - 1) * np.linalg.slogdet(single)[1]
    return gain @ solved, taken, float(score)


def _kernel(one: Floats, other: Floats) -> Floats:
    octaves = np.abs(np.log2(one[:, None] / other[None, :]))
    return np.asarray(_COMMON + (1 - _COMMON) * np.exp(-octaves / _OCTAVES), dtype=np.float64)


def _at(grid: Floats, frequency: Floats, values: Floats) -> Floats:
    return np.interp(np.log(grid), np.log(frequency), values)
