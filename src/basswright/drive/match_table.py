"""How every output suits every box: power, gain and zone for all pairs at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.drive.outputs import OutputTable
from basswright.drive.power import (
    REASONS,
    load_reason_index,
    near_rated_load,
    power_at_load,
    supply_share,
)
from basswright.drive.ranges import TYPICAL_HIGH_W, TYPICAL_LOW_SHARE
from basswright.records.system import Zone
from basswright.records.verdict import Relief, Verdict

#: Beyond this many times the top of the range the set gain protects no longer: one
#: step of bass boost (6 dB is usual) or a gain turned up later gives the box all of it
#: (common practice, no source).
UNSAFE_SHARE: Final = 3.0
ZONES: Final[tuple[Zone, ...]] = ("too little", "inside", "above, gain set", "unsafe")
LIMITS: Final[tuple[str, ...]] = (
    "power at the load",
    "power beyond what the gain can hold back",
    *REASONS[1:],
)
#: Margin of a pair that cannot be joined at all [dB].
NO_MARGIN_DB: Final = -60.0
#: A power that differs from an end of a range by no more than this is at that end.
_ROUNDING: Final = 1e-9


@dataclass(frozen=True, kw_only=True)
class MatchTable:
    """What each of m outputs does with each of n boxes.

    Attributes
    ----------
    load_ohm : ndarray, shape (n,)
        Total load; 0 where it is not known [ohm].
    power_low_w, power_high_w : ndarray, shape (n,)
        The range used, with typical figures where none was given [W].
    range_estimated : ndarray of bool, shape (n,)
    available_w : ndarray, shape (n, m)
        Power into the load at the car's supply; 0 where the load is not allowed [W].
    used_w : ndarray, shape (n, m)
        With the gain set so that the top of the range is never exceeded [W].
    voltage_limit_v : ndarray, shape (n, m)
        Gain voltage: RMS at the terminals with a full-scale sine [V].
    current_limit_a : ndarray, shape (n, m)
        RMS current that the output can give; 0 where the load is not allowed [A].
    zone_index : ndarray of int, shape (n, m)
        Index into :data:`ZONES`.
    below_top_db : ndarray, shape (n, m)
        How far `used_w` stays below the top of the range; 60 where nothing plays [dB].
    passes : ndarray of bool, shape (n, m)
        Inside the range, or above it and safe with the gain set.
    margin_db : ndarray, shape (n, m)
        The smaller of the distances to too little and to unsafe; negative: fails [dB].
    limit_index : ndarray of int, shape (n, m)
        Which of :data:`LIMITS` decides.
    sure : ndarray of bool, shape (n, m)
        False where the range is a typical one, or no rating lies near the load.
    lowest_load_ohm : ndarray, shape (m,)
        Of each output [ohm].
    """

    load_ohm: NDArray[np.float64]
    power_low_w: NDArray[np.float64]
    power_high_w: NDArray[np.float64]
    range_estimated: NDArray[np.bool_]
    available_w: NDArray[np.float64]
    used_w: NDArray[np.float64]
    voltage_limit_v: NDArray[np.float64]
    current_limit_a: NDArray[np.float64]
    zone_index: NDArray[np.int8]
    below_top_db: NDArray[np.float64]
    passes: NDArray[np.bool_]
    margin_db: NDArray[np.float64]
    limit_index: NDArray[np.int8]
    sure: NDArray[np.bool_]
    lowest_load_ohm: NDArray[np.float64]

    def verdict(self, box: int, output: int) -> Verdict:
        """Return the verdict of one pair; a load that is not allowed is told in ohms.

        Parameters
        ----------
        box, output : int
            Row and column of the table.

        Returns
        -------
        Verdict
            Margin in [dB], or in [ohm] where the load is too low.
        """
        index = int(self.limit_index[box, output])
        passes, margin = bool(self.passes[box, output]), float(self.margin_db[box, output])
        unit, relief = "dB", None
        load = float(self.load_ohm[box])
        if index == 2:
            relief = Relief(
                what="the box's total load in ohms stated by its supplier",
                amount=1.0,
                unit="figure",
            )
        elif index == 3:
            unit, margin = "ohm", load - float(self.lowest_load_ohm[output])
            relief = Relief(what="a greater total load", amount=-margin, unit="ohm")
        elif not passes:
            relief = self._power_relief(box, output, index)
        return Verdict(
            rule="power match",
            passes=passes,
            margin=margin,
            unit=unit,
            limit=LIMITS[index],
            relief=relief,
            certainty="sure" if self.sure[box, output] else "too close to call",
        )

    def _power_relief(self, box: int, output: int, index: int) -> Relief:
        available, load = float(self.available_w[box, output]), float(self.load_ohm[box])
        if index == 0:
            missing = float(self.power_low_w[box]) - available
            return Relief(what=f"more power into {load:g} ohm", amount=missing, unit="W")
        surplus = available - UNSAFE_SHARE * float(self.power_high_w[box])
        return Relief(what=f"a smaller amplifier at {load:g} ohm", amount=surplus, unit="W")


def match_table(
    load_ohm: ArrayLike,
    power_low_w: ArrayLike,
    power_high_w: ArrayLike,
    outputs: OutputTable,
    *,
    supply_voltage_v: float,
    range_estimated: NDArray[np.bool_] | None = None,
) -> MatchTable:
    """Judge every output on every box.

    Parameters
    ----------
    load_ohm : array_like, shape (n,)
        Total load of each box [ohm]; NaN where unknown.
    power_low_w, power_high_w : array_like, shape (n,)
        Recommended RMS power [W]; NaN where unknown, then a typical one is put in and
        flagged (:func:`basswright.drive.power_ranges` knows better from the cones).
    outputs : OutputTable
        `m` outputs.
    supply_voltage_v : float
        Supply at the amplifier, engine running [V].
    range_estimated : ndarray of bool, shape (n,), optional
        True where a range that is given is itself a typical one.

    Returns
    -------
    MatchTable
        Arrays of shape (n, m), free of NaN.

    Notes
    -----
    The gain voltage is sqrt(P R) of the power used, R the nominal total load. Too
    little: less than the bottom of the range. Unsafe: more than three times its top (common
    practice, no source), or a load that the output does not allow. Distances are
    10 log10 of the powers' ratio.

    References
    ----------
    .. [1] ISO 80000-8 (level of a power quantity, 10 lg of the ratio).
    .. [2] As :func:`~basswright.drive.power_at_load`.
    """
    load = np.atleast_1d(np.asarray(load_ohm, dtype=float))
    low, high, estimated = _filled(power_low_w, power_high_w, load.shape)
    if range_estimated is not None:
        estimated = estimated | range_estimated
    available = power_at_load(outputs, load, supply_voltage_v)
    reason = load_reason_index(outputs, load)
    allowed = reason == 0
    used = np.minimum(available, high[:, None])
    known_load = np.where(np.isnan(load), 1.0, load)[:, None]
    current = outputs.current_a[:, 0] * np.sqrt(supply_share(outputs, supply_voltage_v))
    floor = 1e-9
    level = 10 * np.log10(np.maximum(available, floor))
    above_low = level - (10 * np.log10(low))[:, None]
    below_unsafe = (10 * np.log10(high * UNSAFE_SHARE))[:, None] - level
    margin = np.where(allowed, np.minimum(above_low, below_unsafe), NO_MARGIN_DB)
    limit = np.where(allowed, np.where(above_low <= below_unsafe, 0, 1), reason + 1)
    top = (10 * np.log10(high))[:, None]
    zone = _zones(available, low[:, None], high[:, None], allowed)
    return MatchTable(
        load_ohm=np.where(np.isnan(load), 0.0, load),
        power_low_w=low,
        power_high_w=high,
        range_estimated=estimated,
        available_w=available,
        used_w=used,
        voltage_limit_v=np.sqrt(used * known_load),
        current_limit_a=np.where(allowed, current, 0.0),
        zone_index=zone,
        below_top_db=np.clip(top - level, 0.0, -NO_MARGIN_DB),
        passes=(zone == 1) | (zone == 2),
        margin_db=margin,
        limit_index=limit.astype(np.int8),
        sure=~estimated[:, None] & near_rated_load(outputs, load),
        lowest_load_ohm=outputs.lowest_load_ohm,
    )


def _zones(
    available: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    allowed: NDArray[np.bool_],
) -> NDArray[np.int8]:
    zone = (available >= low * (1 - _ROUNDING)).astype(np.int8)
    zone += available > high * (1 + _ROUNDING)
    zone += available > UNSAFE_SHARE * high * (1 + _ROUNDING)
    zone[~allowed] = 3
    return zone


def _filled(
    power_low_w: ArrayLike, power_high_w: ArrayLike, shape: tuple[int, ...]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    """Return the range with typical figures for what is missing, and where that was."""
    low = np.broadcast_to(np.asarray(power_low_w, dtype=float), shape)
    high = np.broadcast_to(np.asarray(power_high_w, dtype=float), shape)
    from_low = np.fmax(TYPICAL_HIGH_W, low)
    filled_high = np.where(np.isnan(high), from_low, high)
    filled_low = np.where(np.isnan(low), filled_high * TYPICAL_LOW_SHARE, low)
    return np.minimum(filled_low, filled_high), filled_high, np.isnan(low) | np.isnan(high)
