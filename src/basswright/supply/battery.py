"""What a battery can give: inner resistance, time under load, days in the garage."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.records.car import BatteryKind

#: Rested voltage of a full lead-acid battery at about 25 C [V] (12.6 to 12.75 by source).
FULL_VOLTAGE_V: Final = 12.65
#: Share of charge -> rested voltage, flooded [V] (specific gravity 1.120 to 1.265).
_REST_SHARE: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
_REST_V: Final = (11.89, 12.06, 12.24, 12.45, 12.65)
#: Voltage that the EN 50342-1 cold test holds for 10 s at -18 C [V] (from memory).
COLD_TEST_V: Final = 7.5
#: Warm over cold inner resistance (from memory; 0.5 to 0.6).
WARM_SHARE: Final = 0.55
#: Peukert's exponent by kind: the middle of 1.2-1.3 flooded and of 1.05-1.15 AGM; the
#: others common practice.
PEUKERT: Final[dict[BatteryKind, float]] = {
    "flooded": 1.25,
    "efb": 1.20,
    "agm": 1.10,
    "gel": 1.15,
    "lithium": 1.05,
}
#: Share of the charge that may be used and the engine still starts: 0.4 for lead-acid
#: (a battery maker's bulletin); lithium common practice, no source.
USABLE_SHARE: Final[dict[BatteryKind, float]] = {
    "flooded": 0.40,
    "efb": 0.40,
    "agm": 0.40,
    "gel": 0.40,
    "lithium": 0.60,
}
#: What a battery in use still holds of its rated capacity (common practice, no source).
HEALTH_SHARE: Final = 0.85


def warm_resistance_ohm(cca_a: ArrayLike) -> NDArray[np.float64]:
    """Return the inner resistance at about 25 C from the cold-cranking current [ohm].

    0.55 (12.6 - 7.5)/CCA, CCA after EN 50342-1: 600 A gives 4.7 mohm.
    """
    cca = np.asarray(cca_a, dtype=float)
    return np.asarray(WARM_SHARE * (12.6 - COLD_TEST_V) / cca)


def discharge_s(
    current_a: ArrayLike, capacity_ah: float, exponent: float, share: float = 1.0
) -> NDArray[np.float64]:
    """Return how long a battery carries a current [s].

    Peukert: t = share 20 h (I20/I)^k with I20 = C20/20. Currents at or below zero last
    for good and give 10 years.
    """
    current = np.asarray(current_a, dtype=float)
    rated = capacity_ah / 20
    hours = share * 20 * (rated / np.maximum(current, 1e-9)) ** exponent
    return np.asarray(np.minimum(np.where(current > 0, hours * 3600, np.inf), 3.1536e8))


def discharge_current_a(
    time_s: float, capacity_ah: float, exponent: float, share: float = 1.0
) -> float:
    """Return the current that a battery carries for a time [A], Peukert turned round."""
    return float(capacity_ah / 20 * (share * 20 * 3600 / time_s) ** (1 / exponent))


def peukert_exponent(capacity_ah: float, reserve_s: float) -> float:
    """Return Peukert's exponent from the 20-hour capacity and the reserve capacity.

    k = ln(20 / RC) / ln(25 / I20), RC in hours at 25 A (SAE J537): 70 Ah and 120 min
    give 1.171.
    """
    hours = reserve_s / 3600
    return float(np.log(20 / hours) / np.log(25 / (capacity_ah / 20)))


def rest_share(rest_v: ArrayLike) -> NDArray[np.float64]:
    """Return the share of charge from the voltage after hours of rest."""
    return np.asarray(np.interp(np.asarray(rest_v, dtype=float), _REST_V, _REST_SHARE))


def rest_voltage(charge_share: ArrayLike) -> NDArray[np.float64]:
    """Return the rested voltage at a share of charge [V]."""
    return np.asarray(np.interp(np.asarray(charge_share, dtype=float), _REST_SHARE, _REST_V))


def standing_s(
    drain_a: float, capacity_ah: float, kind: BatteryKind, charge_share: float = 1.0
) -> float:
    """Return how long a parked car still starts [s].

    From the charge at hand down to the share that a start needs; 100 Ah drained by
    50 mA from full: 0.4 x 85 Ah / 0.05 A = 28 days.
    """
    usable = max(0.0, charge_share - (1 - USABLE_SHARE[kind]))
    charge = usable * HEALTH_SHARE * capacity_ah * 3600
    return float(min(charge / max(drain_a, 1e-6), 3.1536e8))
