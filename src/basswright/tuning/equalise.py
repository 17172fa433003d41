"""Which equaliser bands bring the level at the ear to the target, within what the box gives?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.tuning import EqualiserBand
from basswright.tuning.filters import peaking_db

Floats = NDArray[np.float64]

LOWEST_GAIN_DB = -12.0
HIGHEST_GAIN_DB = 6.0
Q_RANGE = (0.6, 6.0)
_GAIN_COST = 0.03  # dB of error that one dB of gain has to be worth: keeps bands few and small
_OVER_COST = 20.0


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Bands and what they reach.

    Attributes
    ----------
    bands : tuple of EqualiserBand
    equaliser_db : ndarray, shape (f,)
        What the bands do together.
    before_db, after_db : float
        rms distance to the target over the fitted range, each about its own mean.
    wanting_db : ndarray, shape (f,)
        How far below the target the level stays, about the mean; zero where it does not.
    """

    bands: tuple[EqualiserBand, ...]
    equaliser_db: Floats
    before_db: float
    after_db: float
    wanting_db: Floats


def house_curve(frequency_hz: Floats, *, crossover_hz: float, rise_db: float = 6.0) -> Floats:
    """Return the wanted shape of the level at the ear [dB], 0 dB at the crossover.

    Level rises in proportion to log f from the crossover down to 30 Hz by `rise_db` and
    stays there; above the crossover it is level. A rise of about 6 dB towards the low
    bass is what most listeners in a car like: common practice, no source.
    """
    octaves = np.log2(crossover_hz / np.maximum(frequency_hz, 30.0))
    span = np.log2(crossover_hz / 30.0)
    return np.asarray(rise_db * np.clip(octaves / span, 0.0, 1.0), dtype=np.float64)


def fit(
    frequency_hz: Floats,
    level_db: Floats,
    *,
    target_db: Floats,
    headroom_db: Floats,
    fit_range_hz: tuple[float, float],
    count: int = 5,
) -> Fit:
    """Fit parametric bands to a target at the ear, never above the headroom.

    Parameters
    ----------
    frequency_hz, level_db, target_db, headroom_db : ndarray, shape (f,)
        Level at the ear, wanted level (only its shape counts), and the loudest clean
        level less the level: where that is not positive nothing is boosted.
    fit_range_hz : tuple of float
        Range in which the target counts.
    count : int
        Most bands to use, 0 to 12.

    Returns
    -------
    Fit

    Notes
    -----
    Least squares in (log f, gain, log Q) of the bands with the mean taken out, a small
    cost on gain, and a steep one on gain beyond the headroom; then the boosts are scaled
    down until none is left beyond it. Started from the largest deviations, one by one.
    """
    if not 0 <= count <= 12:
        raise InputError("too many bands", field="count", value=count, allowed="0 to 12")
    inside = (frequency_hz >= fit_range_hz[0]) & (frequency_hz <= fit_range_hz[1])
    if inside.sum() < 3:
        raise InputError(
            "no level is known in the range to be equalised",
            field="fit_range_hz",
            value=fit_range_hz,
            allowed=f"{frequency_hz[0]:g} to {frequency_hz[-1]:g} Hz",
        )
    room = np.clip(headroom_db, 0.0, HIGHEST_GAIN_DB)
    error = smooth(frequency_hz, level_db) - target_db
    task = _Task(frequency=frequency_hz, error=error, room=room, inside=inside, span=fit_range_hz)
    values = _solve(task, count)
    values = _within_room(task, values)
    centre, gain, quality = _unpack(values)
    keep = np.abs(gain) >= 0.25
    shape = _sum_db(frequency_hz, values.reshape(-1, 3)[keep].ravel())
    reached = (error + shape)[inside]
    after = error + shape - reached.mean()
    return Fit(
        bands=tuple(
            EqualiserBand(frequency_hz=float(f), gain_db=float(g), Q=float(q))
            for f, g, q in sorted(zip(centre[keep], gain[keep], quality[keep], strict=True))
        ),
        equaliser_db=shape,
        before_db=float(np.std(error[inside])),
        after_db=float(np.std(reached)),
        wanting_db=np.where(inside, np.maximum(-after, 0.0), 0.0),
    )


def objective(
    values: Floats,
    frequency_hz: Floats,
    error_db: Floats,
    *,
    room_db: Floats,
    inside: NDArray[np.bool_],
) -> Floats:
    """Return the residuals of a fit [dB]; `values` are (log f, gain, log Q) of each band."""
    shape = _sum_db(frequency_hz, values)
    rest = (error_db + shape)[inside]
    over = np.maximum(shape - room_db, 0.0)
    count = np.sqrt(inside.sum())
    gains = values.reshape(-1, 3)[:, 1]
    return np.concatenate(
        [(rest - rest.mean()) / count, _OVER_COST * over / count, _GAIN_COST * gains]
    )


def smooth(frequency_hz: Floats, level_db: Floats, octaves: float = 1 / 6) -> Floats:
    """Return the power mean of a level over a window of that many octaves [dB].

    A dip narrower than the window cannot be filled from one place in the car and is not
    worth a band.
    """
    distance = np.log2(frequency_hz[:, None] / frequency_hz[None, :])
    weight = np.exp(-0.5 * (distance / (octaves / 2.355)) ** 2)
    weight *= np.gradient(np.log(frequency_hz))[None, :]
    power = (weight @ 10 ** (level_db / 10)) / weight.sum(axis=1)
    return np.asarray(10 * np.log10(power), dtype=np.float64)


@dataclass(frozen=True, kw_only=True)
class _Task:
    frequency: Floats
    error: Floats
    room: Floats
    inside: NDArray[np.bool_]
    span: tuple[float, float]

    def bounds(self, count: int) -> tuple[Floats, Floats]:
        low = [np.log(self.span[0]), LOWEST_GAIN_DB, np.log(Q_RANGE[0])]
        high = [np.log(self.span[1]), HIGHEST_GAIN_DB, np.log(Q_RANGE[1])]
        return np.tile(low, count), np.tile(high, count)


def _solve(task: _Task, count: int) -> Floats:
    """Add one band after another, each from the best of several starts."""
    from scipy.optimize import least_squares

    values = np.zeros(0)
    for number in range(1, count + 1):
        tried = [
            least_squares(
                objective,
                np.concatenate([values, start]),
                bounds=task.bounds(number),
                args=(task.frequency, task.error),
                kwargs={"room_db": task.room, "inside": task.inside},
                max_nfev=40,
            )
            for start in _next_bands(task, values)
        ]
        values = min(tried, key=lambda one: float(one.cost)).x
    return values


def _next_bands(task: _Task, values: Floats) -> list[Floats]:
    """Return starts for one more band: at the highest peak and the deepest dip."""
    rest = task.error + _sum_db(task.frequency, values)
    rest = np.where(task.inside, rest - rest[task.inside].mean(), 0.0)
    low, high = np.log(task.span[0]) + 1e-3, np.log(task.span[1]) - 1e-3
    starts = []
    for index in (int(np.argmax(rest)), int(np.argmin(rest))):
        room = max(float(task.room[index]) * 0.9, 0.05)
        gain = float(np.clip(-rest[index], LOWEST_GAIN_DB * 0.9, room))
        place = float(np.clip(np.log(task.frequency[index]), low, high))
        starts += [np.array([place, gain, np.log(Q)]) for Q in (0.9, 3.0)]
    return starts


def _within_room(task: _Task, values: Floats) -> Floats:
    """Return the bands with boosts scaled down until none goes beyond the room."""
    bands = values.reshape(-1, 3).copy()
    for _ in range(200):
        over = _sum_db(task.frequency, bands.ravel()) - task.room
        boosting = bands[:, 1] > 0
        if not boosting.any() or over.max() <= 1e-3:
            break
        worst = float(task.frequency[int(np.argmax(over))])
        near = np.where(boosting, np.abs(bands[:, 0] - np.log(worst)), np.inf)
        index = int(np.argmin(near))
        bands[index, 1] = max(0.0, bands[index, 1] - max(float(over.max()), 0.02))
    return bands.ravel()


def _unpack(values: Floats) -> tuple[Floats, Floats, Floats]:
    bands = values.reshape(-1, 3)
    return np.exp(bands[:, 0]), bands[:, 1], np.exp(bands[:, 2])


def _sum_db(frequency_hz: Floats, values: Floats) -> Floats:
    if values.size == 0:
        return np.zeros_like(frequency_hz)
    centre, gain, quality = _unpack(values)
    total: Floats = peaking_db(frequency_hz, centre_hz=centre, gain_db=gain, Q=quality).sum(axis=0)
    return total
