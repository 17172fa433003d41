"""What the alternator has left over: at idle, in town, on the motorway, by night, hot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.records.car import Charging
from basswright.records.system import SituationBalance

#: Hot over cold output at engine idle (planning value 0.7 to 0.8; one maker's sheet of a
#: 50 A type gives 0.67 at 1300 rpm). The rated output of the record is a hot one.
HOT_IDLE_SHARE: Final = 0.8
#: How far the output has come from idle to rated at the speed of town driving (about
#: 1500 engine rpm, pulley 2.5; the same sheet: 0.82 of rated at 2500 alternator rpm).
TOWN_SPEED_SHARE: Final = 0.75
#: Share of the time that a car stands still in town; about a third in the urban part
#: of the old European driving cycle (from memory).
TOWN_IDLE_SHARE: Final = 0.35
#: What the car draws by day over what it draws by night (common practice, no source).
DAY_LOAD_SHARE: Final = 0.55


@dataclass(frozen=True, kw_only=True)
class Situation:
    """One way of driving: how fast the alternator turns, how warm it is, the car's load.

    Attributes
    ----------
    name : str
    speed_share : float
        How far the output has come from idle to rated while moving, 0 to 1 [-].
    idle_share : float
        Part of the time that the engine idles [-].
    hot : bool
        Whether the output at idle is that of a hot alternator.
    night : bool
        Whether the lights are on.
    """

    name: str
    speed_share: float  # 0 at idle, 1 at rated speed
    idle_share: float  # of the time
    hot: bool
    night: bool


SITUATIONS: Final = (
    Situation(name="idle, day", speed_share=0.0, idle_share=1.0, hot=False, night=False),
    Situation(name="idle, night, hot", speed_share=0.0, idle_share=1.0, hot=True, night=True),
    Situation(
        name="town, day",
        speed_share=TOWN_SPEED_SHARE,
        idle_share=TOWN_IDLE_SHARE,
        hot=False,
        night=False,
    ),
    Situation(
        name="town, night, hot",
        speed_share=TOWN_SPEED_SHARE,
        idle_share=TOWN_IDLE_SHARE,
        hot=True,
        night=True,
    ),
    Situation(name="motorway, night", speed_share=1.0, idle_share=0.0, hot=True, night=True),
)
IDLE_NIGHT: Final = SITUATIONS[1]
TOWN_NIGHT: Final = SITUATIONS[3]


def alternator_a(
    situation: Situation, rated_a: ArrayLike, idle_a: ArrayLike
) -> NDArray[np.float64]:
    """Return what an alternator gives in a situation, standing and moving averaged [A].

    Parameters
    ----------
    situation : Situation
    rated_a, idle_a : array_like
        Output, rated (hot) and at engine idle (cold) [A].

    Returns
    -------
    ndarray, broadcast of both
        Mean current [A].

    Notes
    -----
    I = z h Ii + (1 - z) (Ii + v max(Ir - Ii, 0)), z the share of time at idle, v how far the
    speed has brought the output, h 0.8 when hot. h and v are planning values after one
    maker's sheet; no standard gives a mean output.

    References
    ----------
    .. [1] UN Regulation No. 83, urban part of the driving cycle (about a third of the time
       at idle; from memory).
    """
    rated, idle = np.asarray(rated_a, dtype=float), np.asarray(idle_a, dtype=float)
    warm_idle = idle * (HOT_IDLE_SHARE if situation.hot else 1.0)
    moving = idle + situation.speed_share * np.maximum(rated - idle, 0.0)
    return np.asarray(situation.idle_share * warm_idle + (1 - situation.idle_share) * moving)


def base_load_a(situation: Situation, charging: Charging) -> float:
    """Return what the car itself draws in a situation [A].

    Parameters
    ----------
    situation : Situation
    charging : Charging
        Its `base_load_a` is that by night.

    Returns
    -------
    float
        By day 0.55 of that by night (common practice, no source) [A].
    """
    return charging.base_load_a * (1.0 if situation.night else DAY_LOAD_SHARE)


def balances(
    charging: Charging, average_a: float, *, rated_a: float, idle_a: float
) -> tuple[SituationBalance, ...]:
    """Return the energy balance in every situation, music playing.

    Parameters
    ----------
    charging : Charging
    average_a : float
        Average current of the amplifier [A].
    rated_a, idle_a : float
        Alternator output, rated and at idle [A].

    Returns
    -------
    tuple of SituationBalance
        What the alternator gives, the car draws and is left, in the order of
        :data:`SITUATIONS` [A].
    """
    found = []
    for situation in SITUATIONS:
        given = float(alternator_a(situation, rated_a, idle_a))
        base = base_load_a(situation, charging)
        found.append(
            SituationBalance(
                situation=situation.name,
                alternator_a=given,
                base_load_a=base,
                balance_a=given - base - average_a,
            )
        )
    return tuple(found)
