"""How much power the car feeds as it is, and after which step it would feed more."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from basswright.records.verdict import Relief
from basswright.supply.current import draw_share
from basswright.supply.fuses import CONTINUOUS_SHARE
from basswright.supply.ladder import SupplyLadder
from basswright.supply.upgrades import Upgrade


def power_without_upgrade_w(
    steps: SupplyLadder,
    efficiency_share: float,
    supply_voltage_v: float,
    *,
    linear_stage: bool = False,
) -> float:
    """Return the most audio power that needs no new battery or alternator [W].

    Limited by the average current that the car stands and by the strongest safe feed;
    0 where the car has nothing left over.

    Parameters
    ----------
    steps : SupplyLadder
    efficiency_share : float
        Whole amplifier at full power, above 0, at most 1 [-].
    supply_voltage_v : float
        Supply at the amplifier [V].
    linear_stage : bool
        True for class AB, G and H.

    Returns
    -------
    float
        P = eta V min(I average / draw share, I feed), the feed's current held so that the
        average stays below 0.7 of its fuse [W].

    References
    ----------
    .. [1] As :func:`~basswright.supply.currents` and
       :func:`~basswright.supply.draw_share`, turned round.
    """
    return _reach_w(steps, 0, efficiency_share, supply_voltage_v, linear_stage)


def upgrade_reaches(
    steps: SupplyLadder,
    efficiency_share: float,
    supply_voltage_v: float,
    *,
    linear_stage: bool = False,
) -> tuple[tuple[Upgrade, float], ...]:
    """Return every upgrade that is worth its price with the power it allows [W].

    In order of price; an upgrade is left out when a cheaper one reaches as far.

    Parameters
    ----------
    steps : SupplyLadder
    efficiency_share : float
        Whole amplifier at full power, above 0, at most 1 [-].
    supply_voltage_v : float
        Supply at the amplifier [V].
    linear_stage : bool
        True for class AB, G and H.

    Returns
    -------
    tuple of (Upgrade, float)
        The first is the car as it is; power in [W].
    """
    reached = [
        (upgrade, _reach_w(steps, index, efficiency_share, supply_voltage_v, linear_stage))
        for index, upgrade in enumerate(steps.upgrade_list)
    ]
    return _worthwhile(sorted(reached, key=lambda entry: (entry[0].price, -entry[1])))


def _worthwhile(reached: Sequence[tuple[Upgrade, float]]) -> tuple[tuple[Upgrade, float], ...]:
    kept: list[tuple[Upgrade, float]] = []
    for upgrade, power in reached:
        if not kept or power > kept[-1][1] + 1.0:
            kept.append((upgrade, power))
    return tuple(kept)


def _reach_w(
    steps: SupplyLadder, index: int, efficiency: float, supply_v: float, linear: bool
) -> float:
    upgrade, feeds = steps.upgrade_list[index], steps.feed_lists[index]
    share = float(draw_share(steps.rules.programme_duty_share, efficiency, linear))
    sine_a = [
        feeds[-1].capacity_a * min(1.0, CONTINUOUS_SHARE / share) if feeds else 0.0,
        max(0.0, upgrade.average_limit_a) / share,
    ]
    return min(sine_a) * efficiency * supply_v


def charging_relief(
    steps: SupplyLadder, average_a: float, efficiency_share: float, supply_voltage_v: float
) -> tuple[Relief, ...]:
    """Return what would settle a charging system that is asked too much.

    The cheapest upgrade that stands the current, and the power to which the gain would
    have to be set without one.

    Parameters
    ----------
    steps : SupplyLadder
    average_a : float
        Average current of the amplifier [A].
    efficiency_share : float
        Whole amplifier at full power, above 0, at most 1 [-].
    supply_voltage_v : float
        Supply at the amplifier [V].

    Returns
    -------
    tuple of Relief
        Empty where the car stands it; else a price, if there is such an upgrade, and a power
        in whole watts [W].
    """
    own = steps.upgrade_list[0]
    if average_a <= own.average_limit_a:
        return ()
    found: list[Relief] = []
    enough = [u for u in steps.upgrade_list if u.average_limit_a >= average_a]
    if enough:
        best = min(enough, key=lambda u: u.price)
        parts = [part.model for part in (best.battery, best.alternator) if part is not None]
        found.append(Relief(what=" and ".join(parts), amount=best.price, unit="price"))
    power = power_without_upgrade_w(steps, efficiency_share, supply_voltage_v)
    found.append(Relief(what="gain set to no more than", amount=float(np.floor(power)), unit="W"))
    return tuple(found)
