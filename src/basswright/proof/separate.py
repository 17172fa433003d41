"""Where several causes explain a recording equally well: which reading separates them?"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from basswright.proof.effects import Effect
from basswright.records.measurement import Cause

_ALIKE = 5.0  # shares closer than this factor are not told apart


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A further reading: what to do, and how far apart it puts two effects.

    Attributes
    ----------
    what : str
        Instruction in a person's words.
    apart : callable
        Distance of two effects in this reading, in units of the reading's error.
    """

    what: str
    apart: Callable[[Effect, Effect], float]


def _resistance(one: Effect, other: Effect) -> float:
    return abs(float(np.log(one.resistance_ratio / other.resistance_ratio))) / 0.07


def _tone(one: Effect, other: Effect) -> float:
    return abs(one.tone_db - other.tone_db) / 0.7


def _loud(one: Effect, other: Effect) -> float:
    return float(np.sqrt(np.mean((one.compression_db - other.compression_db) ** 2))) / 0.7


def _close(one: Effect, other: Effect) -> float:
    return float(np.sqrt(np.mean((one.close_db - other.close_db) ** 2))) / 3.5


def _swap(one: Effect, other: Effect) -> float:
    return abs(one.front_sum - other.front_sum) * 1.5


READINGS: tuple[Reading, ...] = (
    Reading(
        what="unplug the box and measure the resistance at its terminals",
        apart=_resistance,
    ),
    Reading(
        what="play the set-up tone and measure the voltage at the box's terminals",
        apart=_tone,
    ),
    Reading(
        what="record the sweep again at the same place, as loud as it may be played",
        apart=_loud,
    ),
    Reading(
        what="record the sweep a finger's breadth from where the plan has the cone",
        apart=_close,
    ),
    Reading(
        what="record bass and front speakers together, once with the bass polarity swapped",
        apart=_swap,
    ),
)


def groups_and_readings(
    causes: Sequence[Cause], effects: Mapping[str, Effect], *, has_boot: bool = False
) -> tuple[tuple[tuple[str, ...], ...], tuple[str, ...]]:
    """Return the group that cannot be told apart, if any, and what would separate it.

    The reading is the one in which the models of the causes lie furthest apart, measured
    in the error of that reading; where none puts them more than two errors apart, it says
    so. Close to the cone nothing is told apart in a boot that is closed off.
    """
    readings = [one for one in READINGS if not (has_boot and one.apart is _close)]
    first = causes[0]
    alike = [one for one in causes if one.share * _ALIKE > first.share]
    if len(alike) < 2:
        return (), ()
    others = alike[1:]
    apart = [
        sum(min(reading.apart(effects[first.fault], effects[one.fault]), 6.0) for one in others)
        / len(others)
        for reading in readings
    ]
    best = int(np.argmax(apart))
    names = tuple(one.fault for one in alike)
    if apart[best] < 2.0:
        text = "none of the usual readings separates them; record at a second seat and compare"
        return (names,), (text,)
    return (names,), (readings[best].what,)
