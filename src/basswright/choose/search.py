"""Every box with every amplifier worth trying: what the pair surely gives."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numba import njit
from numpy.typing import NDArray

from basswright.choose import goals
from basswright.choose.feeds import Feeds
from basswright.records.levels import LevelTable

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

#: The search lets go of the interpreter's lock, so two parts of it run side by side.
THREADS: Final = 2
_NOWHERE: Final = float(np.log(goals.NOWHERE_HZ))


@dataclass(frozen=True, kw_only=True)
class Pairs:
    """Pairs of a box and a feed, one row a pair, boxes in order.

    Attributes
    ----------
    box, feed : ndarray of int, shape (p,)
        Row of the box and of the feed.
    level_db, sure_level_db : ndarray, shape (p,)
        How loud: the middle case, and what is reached in the wished share of cases.
    low_limit_hz, sure_low_limit_hz : ndarray, shape (p,)
        How low, likewise.
    """

    box: NDArray[np.intp]
    feed: NDArray[np.intp]
    level_db: Floats
    sure_level_db: Floats
    low_limit_hz: Floats
    sure_low_limit_hz: Floats


def pairs_of(box_class: NDArray[np.intp], feeds: Feeds) -> tuple[NDArray[np.intp], ...]:
    """Return box and feed of every pair, boxes in order."""
    counts = np.diff(feeds.start)[box_class]
    box = np.repeat(np.arange(box_class.size), counts)
    offset = np.arange(box.size) - np.repeat(np.cumsum(counts) - counts, counts)
    return box, feeds.start[:-1][box_class[box]] + offset


def evaluate(
    levels: LevelTable,
    box_class: NDArray[np.intp],
    feeds: Feeds,
    *,
    wished_db: float,
    certainty_share: float,
) -> Pairs:
    """Return what every pair gives at the ear.

    Parameters
    ----------
    levels : LevelTable
        Levels of n boxes in d draws; draw 0 is the middle case.
    box_class : ndarray of int, shape (n,)
        Class of each box, as grouped in `feeds`.
    feeds : Feeds
        Amplifiers to try for each class.
    wished_db : float
        Wished level [dB re 20 uPa]; the low limit is told against it.
    certainty_share : float
        Share of the draws in which the "sure" figures are reached.

    Returns
    -------
    Pairs
    """
    box, feed = pairs_of(box_class, feeds)
    figures = np.empty((box.size, 4))
    shared = _shared(levels)
    wanted = (_floor(wished_db), certainty_share)
    _in_threads(_evaluate, shared, box, feeds, feed, wanted, figures)
    return Pairs(
        box=box,
        feed=feed,
        level_db=figures[:, 0],
        sure_level_db=figures[:, 1],
        low_limit_hz=np.exp(figures[:, 2]),
        sure_low_limit_hz=np.exp(figures[:, 3]),
    )


def with_other_wish(
    pairs: Pairs, levels: LevelTable, feeds: Feeds, *, wished_db: float, certainty_share: float
) -> Pairs:
    """Return the same pairs for another wished level; only the low limits change."""
    limits = np.empty((pairs.box.size, 2))
    wanted = (_floor(wished_db), certainty_share)
    _in_threads(_limits, _shared(levels), pairs.box, feeds, pairs.feed, wanted, limits)
    limits = np.exp(limits)
    return replace(pairs, low_limit_hz=limits[:, 0], sure_low_limit_hz=limits[:, 1])


def _floor(wished_db: float) -> float:
    return float(10 ** ((wished_db - goals.HELD_WITHIN_DB) / 10))


#: Powers, then logarithm of the frequencies, weights of the level, bands of the low limit.
_Shared = tuple[Singles, Singles, Singles, Floats, Singles, int, Singles]


def _shared(levels: LevelTable) -> _Shared:
    """Return what every pair is made of: powers for one volt, of its own, for one ampere."""
    frequency = levels.frequency_hz
    top = int(np.searchsorted(frequency, goals.HELD_FROM_HZ * (1 + 1e-9), side="right"))
    bands = np.ascontiguousarray(goals.third_octaves(frequency)[:, :top], dtype=np.float32)
    weights = goals.band_weights(frequency).astype(np.float32)
    return (*levels.powers, np.log(frequency), weights, top, bands)


def _in_threads(
    kernel: Callable[..., None],
    shared: _Shared,
    box: NDArray[np.intp],
    feeds: Feeds,
    feed: NDArray[np.intp],
    wanted: tuple[float, float],
    out: Floats,
) -> None:
    voltage_2 = (feeds.voltage_v[feed] ** 2).astype(np.float32)
    current_2 = (feeds.current_a[feed] ** 2).astype(np.float32)

    def work(rows: slice) -> None:
        kernel(*shared, box[rows], voltage_2[rows], current_2[rows], *wanted, out[rows])

    parts = np.linspace(0, box.size, THREADS + 1).astype(int)
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(work, (slice(a, b) for a, b in pairwise(parts))))


def draws_of(
    levels: LevelTable, feeds: Feeds, pairs: Pairs, rows: NDArray[np.intp], *, wished_db: float
) -> tuple[Floats, Floats]:
    """Return level and low limit of some pairs in every draw but the first.

    The draws of all boxes share the same car, so a difference between two pairs is
    better known than either of them.

    Returns
    -------
    level_db, low_limit_hz : ndarray, shape (rows, draws - 1)
    """
    box, feed = pairs.box[rows], pairs.feed[rows]
    per_volt = levels.per_volt_db[box, 1:]
    by_voltage = per_volt + 20 * np.log10(feeds.voltage_v[feed])[:, None, None]
    current = feeds.current_a[feed][:, None, None] * levels.impedance_ohm[box, 1:]
    loudest = np.minimum(
        np.minimum(levels.own_limit_db[box, 1:], by_voltage), per_volt + 20 * np.log10(current)
    )
    frequency = levels.frequency_hz
    return goals.level_db(loudest, frequency), goals.low_limit_hz(loudest, frequency, wished_db)


#: Sums may be taken in another order, so that several frequencies go at once.
_FAST = {"reassoc", "contract", "nsz"}


@njit(cache=True, nogil=True, fastmath=_FAST)
def _evaluate(
    per_volt: Singles,
    own: Singles,
    per_ampere: Singles,
    log_f: Floats,
    weights: Singles,
    top: int,
    bands: Singles,
    box: NDArray[np.intp],
    voltage_2: Singles,
    current_2: Singles,
    floor: float,
    certainty: float,
    out: Floats,
) -> None:
    draws, size = per_volt.shape[1], per_volt.shape[2]
    mean = np.empty(draws)
    limit = np.empty(draws)
    half = bands.shape[0] // 2
    power = np.zeros(size + 2 * half, dtype=np.float32)
    band = np.empty(top, dtype=np.float32)
    for pair in range(box.size):
        row, u2, i2 = box[pair], voltage_2[pair], current_2[pair]
        for draw in range(draws):
            total = np.float32(0.0)
            for f in range(size):
                p2 = min(
                    own[row, draw, f], per_volt[row, draw, f] * u2, per_ampere[row, draw, f] * i2
                )
                power[half + f] = p2
                total += weights[f] * p2
            mean[draw] = total
            limit[draw] = _held_down_to(power, log_f, band, bands, floor)
        out[pair, 0], out[pair, 2] = 10 * np.log10(mean[0]), limit[0]
        if draws == 1:
            out[pair, 1], out[pair, 3] = out[pair, 0], limit[0]
            continue
        out[pair, 1] = _level_share(mean, 1 - certainty)
        out[pair, 3] = _share(limit, certainty)


@njit(cache=True, nogil=True, fastmath=_FAST)
def _limits(
    per_volt: Singles,
    own: Singles,
    per_ampere: Singles,
    log_f: Floats,
    weights: Singles,
    top: int,
    bands: Singles,
    box: NDArray[np.intp],
    voltage_2: Singles,
    current_2: Singles,
    floor: float,
    certainty: float,
    out: Floats,
) -> None:
    draws = per_volt.shape[1]
    limit = np.empty(draws)
    half = bands.shape[0] // 2
    heard = min(top + half, per_volt.shape[2])
    power = np.zeros(per_volt.shape[2] + 2 * half, dtype=np.float32)
    band = np.empty(top, dtype=np.float32)
    for pair in range(box.size):
        row, u2, i2 = box[pair], voltage_2[pair], current_2[pair]
        for draw in range(draws):
            for f in range(heard):
                power[half + f] = min(
                    own[row, draw, f], per_volt[row, draw, f] * u2, per_ampere[row, draw, f] * i2
                )
            limit[draw] = _held_down_to(power, log_f, band, bands, floor)
        out[pair, 0] = limit[0]
        out[pair, 1] = limit[0] if draws == 1 else _share(limit, certainty)


@njit(cache=True, nogil=True, fastmath=_FAST)
def _held_down_to(
    power: Singles, log_f: Floats, band: Singles, bands: Singles, floor: float
) -> float:
    """Logarithm of the frequency down to which the third octaves stay at or above `floor`.

    `band` is room for their levels; `power` has room on both sides for the widest band.
    """
    for f in range(band.size):
        band[f] = bands[0, f] * power[f]
    for k in range(1, bands.shape[0]):
        for f in range(band.size):
            band[f] += bands[k, f] * power[f + k]
    f = band.size - 1
    while f >= 0 and band[f] >= floor:
        f -= 1
    if f < 0:
        lowest: float = log_f[0]
        return lowest
    if f == band.size - 1:
        return _NOWHERE
    found: float = log_f[f]
    if band[f + 1] > band[f]:
        part = (floor - float(band[f])) / (float(band[f + 1]) - float(band[f]))
        found += part * (log_f[f + 1] - log_f[f])
    return found


@njit(cache=True, nogil=True)
def _level_share(mean: Floats, share: float) -> float:
    """Level below which a share of all means but the first lies; sorts in place."""
    _sort(mean)
    place = share * (mean.size - 2)
    below = int(np.floor(place))
    above = min(below + 1, mean.size - 2)
    low, high = 10 * np.log10(mean[1 + below]), 10 * np.log10(mean[1 + above])
    found: float = low + (place - below) * (high - low)
    return found


@njit(cache=True, nogil=True)
def _share(values: Floats, share: float) -> float:
    """Value below which a share of all values but the first lies; sorts in place."""
    _sort(values)
    place = share * (values.size - 2)
    below = int(np.floor(place))
    above = min(below + 1, values.size - 2)
    low, high = values[1 + below], values[1 + above]
    found: float = low + (place - below) * (high - low)
    return found


@njit(cache=True, nogil=True)
def _sort(values: Floats) -> None:
    """Sort all values but the first in place; there are few."""
    for i in range(2, values.size):
        value, j = values[i], i - 1
        while j >= 1 and values[j] > value:
            values[j + 1] = values[j]
            j -= 1
        values[j + 1] = value
