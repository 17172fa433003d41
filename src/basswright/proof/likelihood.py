"""How well does each fault explain what was measured?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.proof.effects import Effect
from basswright.records.measurement import Measurement

Floats = NDArray[np.float64]

_COMMON_SHARE = 0.3  # of the variance of the band that moves all frequencies together
_OCTAVES = 0.6  # over which the rest of it hangs together
_MICROPHONE_DB = 1.0  # absolute, calibrated
_UNCALIBRATED_DB = 60.0
_WHITE_DB = 0.4
_FREEDOM = 8.0  # of the t distribution that stands for a band of unsure width
_EFFECT_ERROR = 0.12  # how far a model of a fault may be off, as a share of its effect
_HEAT_DB = 0.6  # spread of the level that a warm coil costs in the loud sweep
_REPEAT_DB = 0.35  # of two recordings at one place
_SUM = 0.45  # what the sum index is when bass and front go together, and its spread
_SUM_SPREAD = 0.3
_RESISTANCE_SPREAD = 0.07
_CLOSE_DB = 3.0  # of the level close to the cone beyond its draws: the microphone's place


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """What was measured besides the bass alone; each reading makes more faults tell.

    Attributes
    ----------
    loud : Measurement or None
        The same place, the sweep played louder.
    front, together : Measurement or None
        Front speakers alone, and both together, at the same place.
    resistance_ohm : float or None
        At the terminals of the unplugged box.
    close : Measurement or None
        A finger's breadth from where the plan has the cone, played as at the ear. Left
        out where a boot is closed off: there its walls decide what is heard.
    tone_voltage_share : float or None
        Voltage at the terminals with the set-up tone over the planned one.
    """

    loud: Measurement | None = None
    front: Measurement | None = None
    together: Measurement | None = None
    close: Measurement | None = None
    resistance_ohm: float | None = None
    tone_voltage_share: float | None = None


@dataclass(frozen=True, kw_only=True)
class Belief:
    """What the plan leaves open about the level at the ear.

    Attributes
    ----------
    draws_db : ndarray, shape (d, f)
        Level of each draw of the plant, less the middle one.
    extra : ndarray, shape (f, f)
        Covariance of what no draw covers, and of the measurement.
    """

    draws_db: Floats
    extra: Floats


@dataclass(frozen=True, kw_only=True)
class Readings:
    """The same, reduced to numbers on the frequencies of the comparison."""

    frequency_hz: Floats
    difference_db: Floats
    belief: Belief
    compression_db: Floats | None
    close_db: Floats | None
    close_belief: Belief | None
    sum_index: tuple[float, float] | None
    resistance_ratio: float | None
    tone_db: float | None


def uncovered_db(frequency_hz: Floats, *, has_boot: bool) -> Floats:
    """Return what the draws of a model of a car leave out at least [dB].

    1 dB in the pressure zone, growing with the cube of frequency as the wavelength
    comes down to the size of seats and people, and faster above 64 Hz. Where a boot is closed off,
    up to 6 dB more around 36 Hz, where boot and cabin resonate against each other. From
    comparisons of the program's cabin models with simulated cars.
    """
    plain = np.minimum(1.0 + 2.0 * (frequency_hz / 64.0) ** 3, 12.0)
    coupled = 6.0 * np.exp(-((np.log2(frequency_hz / 36.0) / 0.6) ** 2)) if has_boot else 0.0
    return np.asarray(np.hypot(plain, coupled), dtype=np.float64)


def extra_covariance(
    frequency_hz: Floats, *, beyond_db: Floats, white_db: Floats, absolute: bool
) -> Floats:
    """Return the covariance of what the draws do not cover, shape (f, f).

    Parameters
    ----------
    beyond_db : ndarray, shape (f,)
        Standard deviation of the model beyond its draws.
    white_db : ndarray, shape (f,)
        Of the measurement, from noise and seats.
    absolute : bool
        Whether the microphone's level is known.

    Notes
    -----
    A Gaussian process over log frequency with an exponential kernel (Rasmussen &
    Williams, "Gaussian Processes for Machine Learning", 2006, eq. 4.18), which allows
    rough curves; and a level common to all frequencies.
    """
    octaves = np.abs(np.log2(frequency_hz[:, None] / frequency_hz[None, :]))
    kernel = _COMMON_SHARE + (1 - _COMMON_SHARE) * np.exp(-octaves / _OCTAVES)
    microphone = _MICROPHONE_DB if absolute else _UNCALIBRATED_DB
    total = beyond_db[:, None] * beyond_db[None, :] * kernel + microphone**2
    return np.asarray(total + np.diag(white_db**2 + _WHITE_DB**2), dtype=np.float64)


def close_belief(levels_db: Floats, frequency_hz: Floats, *, absolute: bool) -> Belief:
    """Return what is open about the level close to the cone, from its draws.

    Parameters
    ----------
    levels_db : ndarray, shape (d, f)
    frequency_hz : ndarray, shape (f,)
    absolute : bool
        Whether the microphone's level is known.
    """
    beyond = np.full(frequency_hz.shape, _CLOSE_DB)
    extra = extra_covariance(
        frequency_hz, beyond_db=beyond, white_db=0.5 * beyond, absolute=absolute
    )
    return Belief(draws_db=levels_db - levels_db[0], extra=extra)


def log_likelihood(readings: Readings, effect: Effect) -> float:
    """Return the logarithm of how likely the readings are with this fault."""
    return sum(log_terms(readings, effect).values())


def log_terms(readings: Readings, effect: Effect) -> dict[str, float]:
    """Return the same by reading: "level", "compression", "sum", "resistance", "tone"."""
    level = _curve_term(readings.difference_db, readings.belief, effect.level_db, effect.draws_db)
    terms = {"level": level}
    if readings.compression_db is not None:
        rest = readings.compression_db - effect.compression_db
        count = rest.size
        spread = _REPEAT_DB**2 * np.eye(count) + _HEAT_DB**2
        spread += (0.3 * effect.compression_db[:, None]) * (0.3 * effect.compression_db[None, :])
        terms["compression"] = _gauss(rest + 0.5 * _HEAT_DB, spread) / np.sqrt(count)
    if readings.close_db is not None and readings.close_belief is not None:
        terms["close"] = _curve_term(
            readings.close_db, readings.close_belief, effect.close_db, effect.close_draws_db
        )
    if readings.sum_index is not None:
        found, error = readings.sum_index
        off = (found - effect.front_sum * _SUM) / np.hypot(_SUM_SPREAD, error)
        terms["sum"] = -0.5 * min(float(off**2), 20.0)
    if readings.resistance_ratio is not None:
        off = np.log(readings.resistance_ratio / effect.resistance_ratio) / _RESISTANCE_SPREAD
        terms["resistance"] = -0.5 * min(float(off**2), 60.0)
    if readings.tone_db is not None:
        terms["tone"] = -0.5 * min(((readings.tone_db - effect.tone_db) / 0.7) ** 2, 60.0)
    return terms


def sum_index(
    bass: Measurement, front: Measurement, together: Measurement, *, crossover_hz: float
) -> tuple[float, float]:
    """Return how far bass and front add up around the crossover, -1 to 1, and its error.

    ``|T|^2 = |F|^2 + |B|^2 + 2 g |F| |B|`` over two octaves, solved for g by least squares
    with errors in proportion to the greater power: g is a mean cosine of the angle
    between the two.
    """
    grid = np.geomspace(crossover_hz / 2, crossover_hz * 2, 49)
    grid = grid[grid <= min(one.frequency_hz[-1] for one in (bass, front, together))]
    total, one, other = (
        10 ** (np.interp(grid, each.frequency_hz, each.level_db) / 10)
        for each in (together, front, bass)
    )
    greater = np.maximum(one, other)
    both = 2 * np.sqrt(one * other) / greater
    gained = (total - one - other) / greater
    error = _REPEAT_DB * np.log(10) / 10 * np.sqrt(8 / np.sum(both**2))
    return float(np.sum(both * gained) / np.sum(both**2)), float(error)


def _curve_term(
    difference: Floats, belief: Belief, shift: Floats, shift_draws: Floats | None
) -> float:
    draws = belief.draws_db
    total = belief.extra + np.diag((0.5 * _EFFECT_ERROR * shift) ** 2)
    total = total + _EFFECT_ERROR**2 * shift[:, None] * shift[None, :]
    middle = shift
    if draws.shape[0] > 1:
        faulty = draws + (shift if shift_draws is None else shift_draws)
        middle = faulty.mean(axis=0)
        total = total + np.cov(faulty.T)
    return _student(difference - middle, total)


def _student(rest: Floats, total: Floats) -> float:
    """Return the logarithm of a multivariate t density: a normal one of unsure scale."""
    factor = np.linalg.cholesky(total)
    white = np.linalg.solve(factor, rest)
    square = float(white @ white)
    tail = 0.5 * (_FREEDOM + rest.size) * np.log1p(square / _FREEDOM)
    return float(-tail - np.log(np.diag(factor)).sum())


def _gauss(rest: Floats, total: Floats) -> float:
    factor = np.linalg.cholesky(total)
    white = np.linalg.solve(factor, rest)
    return float(-0.5 * white @ white - np.log(np.diag(factor)).sum())
