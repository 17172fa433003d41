"""Every charging upgrade that can be bought, and the average current that each settles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basswright.records.car import Charging
from basswright.records.electrics import AlternatorUpgrade, BatteryUpgrade
from basswright.records.snapshot import Snapshot
from basswright.supply.battery import (
    HEALTH_SHARE,
    PEUKERT,
    USABLE_SHARE,
    discharge_current_a,
)
from basswright.supply.charging import IDLE_NIGHT, TOWN_NIGHT, alternator_a
from basswright.supply.rules import SupplyRules

AVERAGE_LIMITS: Final[tuple[str, ...]] = (
    "charge left in town by night",
    "time at idle by night",
    "time with the engine off",
)


@dataclass(frozen=True, kw_only=True)
class Upgrade:
    """The charging system as it would be with an upgrade, or as it is.

    Attributes
    ----------
    battery, alternator : record or None
    price : float
        Parts, and labour at the rules' rate.
    labour_s : float
        Work on it [s].
    rated_a, idle_a : float
        Alternator output, rated and at idle [A].
    capacity_ah, cca_a : float
        Of the batteries together [Ah], and of the strongest one [A].
    exponent : float
        Peukert's, the less favourable of the batteries' [-].
    usable_share : float
        Part of the charge that may be used, the smaller of the batteries' [-].
    limits_a : tuple of float
        Greatest average current by each of :data:`AVERAGE_LIMITS` [A].
    """

    battery: BatteryUpgrade | None
    alternator: AlternatorUpgrade | None
    price: float
    labour_s: float
    rated_a: float
    idle_a: float
    capacity_ah: float
    exponent: float
    usable_share: float
    cca_a: float
    limits_a: tuple[float, ...]

    @property
    def average_limit_a(self) -> float:
        """Greatest average current that the charging system stands [A]."""
        return min(self.limits_a)

    @property
    def limit_index(self) -> int:
        """Which of :data:`AVERAGE_LIMITS` decides."""
        return self.limits_a.index(min(self.limits_a))


def upgrades(charging: Charging, snapshot: Snapshot, rules: SupplyRules) -> tuple[Upgrade, ...]:
    """List the system as it is, every battery, every alternator, and both together.

    Parameters
    ----------
    charging : Charging
    snapshot : Snapshot
        Batteries and alternators that can be bought; no weaker alternator is tried.
    rules : SupplyRules

    Returns
    -------
    tuple of Upgrade
        The first is the car as it is. Each with the greatest average current [A] by charge
        left in town, time at idle, and time with the engine off.

    References
    ----------
    .. [1] W. Peukert, Elektrotechnische Zeitschrift, 1897
       (:func:`~basswright.supply.battery.discharge_current_a`).
    """
    batteries = (None, *snapshot.batteries)
    alternators = (None, *snapshot.alternators)
    return tuple(
        _upgrade(charging, battery, alternator, rules)
        for battery in batteries
        for alternator in alternators
        if alternator is None or alternator.rated_a > charging.alternator_rated_a
    )


def _upgrade(
    charging: Charging,
    battery: BatteryUpgrade | None,
    alternator: AlternatorUpgrade | None,
    rules: SupplyRules,
) -> Upgrade:
    parts = [part for part in (battery, alternator) if part is not None]
    labour = sum(part.labour_s for part in parts)
    rated = charging.alternator_rated_a if alternator is None else alternator.rated_a
    idle = charging.alternator_idle_a if alternator is None else alternator.idle_a
    capacity, exponent, usable, cca = _store(charging, battery)
    share = usable * HEALTH_SHARE

    def carried(time_s: float) -> float:
        return discharge_current_a(time_s, capacity, exponent, share)

    base = charging.base_load_a
    return Upgrade(
        battery=battery,
        alternator=alternator,
        price=sum(part.price for part in parts) + labour / 3600 * rules.hourly_rate,
        labour_s=labour,
        rated_a=rated,
        idle_a=idle,
        capacity_ah=capacity,
        exponent=exponent,
        usable_share=usable,
        cca_a=cca,
        limits_a=(
            float(alternator_a(TOWN_NIGHT, rated, idle)) - base - rules.recharge_a,
            float(alternator_a(IDLE_NIGHT, rated, idle)) - base + carried(rules.idle_s),
            carried(rules.engine_off_s) - rules.engine_off_load_a,
        ),
    )


def _store(charging: Charging, battery: BatteryUpgrade | None) -> tuple[float, float, float, float]:
    """Return capacity, Peukert's exponent, usable share and cold-cranking current."""
    own = charging.battery_kind
    if battery is None:
        return charging.battery_capacity_ah, PEUKERT[own], USABLE_SHARE[own], charging.battery_cca_a
    kind = battery.kind
    if battery.role == "replace":
        return battery.capacity_ah, PEUKERT[kind], USABLE_SHARE[kind], battery.cca_a
    return (
        charging.battery_capacity_ah + battery.capacity_ah,
        max(PEUKERT[own], PEUKERT[kind]),
        min(USABLE_SHARE[own], USABLE_SHARE[kind]),
        max(charging.battery_cca_a, battery.cca_a),
    )
