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
    """Return the inner resistance at about 25 °C from the cold-cranking current [ohm].

    Parameters
    ----------
    cca_a : array_like
        Cold-cranking current after EN 50342-1, above 0 [A].

    Returns
    -------
    ndarray, shape of `cca_a`
        Resistance of a sound battery at about 25 °C [ohm].

    Notes
    -----
    R = 0.55 (12.6 - 7.5)/CCA: the cold test holds 7.5 V at -18 °C, and a warm battery has
    0.5 to 0.6 of the cold one's resistance (from memory). 600 A gives 4.7 mohm.

    References
    ----------
    .. [1] EN 50342-1, Lead-acid starter batteries, General requirements and methods of test
       (cranking test: 7.5 V after 10 s at -18 °C; from memory).
    """
    cca = np.asarray(cca_a, dtype=float)
    return np.asarray(WARM_SHARE * (12.6 - COLD_TEST_V) / cca)


def discharge_s(
    current_a: ArrayLike, capacity_ah: float, exponent: float, share: float = 1.0
) -> NDArray[np.float64]:
    """Return how long a battery carries a current [s].

    Parameters
    ----------
    current_a : array_like
        Drawn for good [A]. At or below zero it lasts for good.
    capacity_ah : float
        At the 20-hour rate, above 0 [Ah].
    exponent : float
        Peukert's exponent, 1 or more [-].
    share : float
        Part of the charge that may be used [-].

    Returns
    -------
    ndarray, shape of `current_a`
        Time, at most 10 years of 365 days [s].

    Notes
    -----
    t = share 20 h (I20/I)^k with I20 = C20/20. For currents far below I20 the law says more
    than self-discharge leaves; :func:`standing_s` does not use it.

    References
    ----------
    .. [1] W. Peukert, "Über die Abhängigkeit der Kapazität von der Entladestromstärke bei
       Bleiakkumulatoren", Elektrotechnische Zeitschrift, 1897.
    .. [2] D. Doerffel and S. A. Sharkh, "A critical review of using the Peukert equation for
       determining the remaining capacity of lead-acid and lithium-ion batteries", Journal
       of Power Sources 155(2), 2006, pp. 395-400.
    """
    current = np.asarray(current_a, dtype=float)
    rated = capacity_ah / 20
    hours = share * 20 * (rated / np.maximum(current, 1e-9)) ** exponent
    return np.asarray(np.minimum(np.where(current > 0, hours * 3600, np.inf), 3.1536e8))


def discharge_current_a(
    time_s: float, capacity_ah: float, exponent: float, share: float = 1.0
) -> float:
    """Return the current that a battery carries for a time, Peukert turned round [A].

    Parameters
    ----------
    time_s : float
        Above 0 [s].
    capacity_ah : float
        At the 20-hour rate [Ah].
    exponent : float
        Peukert's exponent, 1 or more [-].
    share : float
        Part of the charge that may be used [-].

    Returns
    -------
    float
        I = I20 (share 20 h / t)^(1/k), I20 = C20/20 [A].

    References
    ----------
    .. [1] W. Peukert, Elektrotechnische Zeitschrift, 1897 (see :func:`discharge_s`).
    """
    return float(capacity_ah / 20 * (share * 20 * 3600 / time_s) ** (1 / exponent))


def peukert_exponent(capacity_ah: float, reserve_s: float) -> float:
    """Return Peukert's exponent from the 20-hour capacity and the reserve capacity [-].

    Parameters
    ----------
    capacity_ah : float
        At the 20-hour rate, other than 500 Ah [Ah].
    reserve_s : float
        Reserve capacity: time at 25 A, above 0 [s].

    Returns
    -------
    float
        k = ln(20 h / RC) / ln(25 A / I20), I20 = C20/20 [-]. 70 Ah and 120 min give 1.171.

    References
    ----------
    .. [1] SAE J537, Storage batteries (reserve capacity: minutes at 25 A; from memory).
    .. [2] W. Peukert, Elektrotechnische Zeitschrift, 1897 (see :func:`discharge_s`).
    """
    hours = reserve_s / 3600
    return float(np.log(20 / hours) / np.log(25 / (capacity_ah / 20)))


def rest_share(rest_v: ArrayLike) -> NDArray[np.float64]:
    """Return the share of charge from the voltage after hours of rest [-].

    Parameters
    ----------
    rest_v : array_like
        Voltage of a 12 V lead-acid battery after four hours of rest or more [V].

    Returns
    -------
    ndarray, shape of `rest_v`
        0 at 11.89 V and below, 1 at 12.65 V and above, straight lines between [-].

    References
    ----------
    .. [1] Battery Council International, tables of open-circuit voltage and specific gravity
       of flooded 12 V batteries (from memory).
    """
    return np.asarray(np.interp(np.asarray(rest_v, dtype=float), _REST_V, _REST_SHARE))


def rest_voltage(charge_share: ArrayLike) -> NDArray[np.float64]:
    """Return the rested voltage at a share of charge [V].

    Parameters
    ----------
    charge_share : array_like
        State of charge, held to 0 and 1 [-].

    Returns
    -------
    ndarray, shape of `charge_share`
        11.89 V empty to 12.65 V full, flooded, at about 25 °C [V].

    References
    ----------
    .. [1] Battery Council International, tables of open-circuit voltage and specific gravity
       of flooded 12 V batteries (from memory).
    """
    return np.asarray(np.interp(np.asarray(charge_share, dtype=float), _REST_SHARE, _REST_V))


def standing_s(
    drain_a: float, capacity_ah: float, kind: BatteryKind, charge_share: float = 1.0
) -> float:
    """Return how long a parked car still starts [s].

    Parameters
    ----------
    drain_a : float
        What the parked car draws [A].
    capacity_ah : float
        At the 20-hour rate [Ah].
    kind : BatteryKind
    charge_share : float
        State of charge when it is left [-].

    Returns
    -------
    float
        Time until the charge is down to what a start needs, at most 10 years [s].

    Notes
    -----
    t = (s - s0) 0.85 C / I, s0 the share that a start needs. 100 Ah drained by 50 mA from
    full: 0.4 x 85 Ah / 0.05 A = 28 days. Self-discharge, some 3 to 5 % a month (common
    practice, no source), is left out.

    References
    ----------
    .. [1] The balance is the definition of the ampere-hour; 0.85 for age and the share that
       a start needs are common practice, no source.
    """
    usable = max(0.0, charge_share - (1 - USABLE_SHARE[kind]))
    charge = usable * HEALTH_SHARE * capacity_ah * 3600
    return float(min(charge / max(drain_a, 1e-6), 3.1536e8))
