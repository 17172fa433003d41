"""The amplifier that is built into a box, and its own cones."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.drive.efficiency import GREATEST_EFFICIENCY_SHARE
from basswright.drive.gain import gain_voltage, signal_cautions
from basswright.drive.match_table import NO_MARGIN_DB
from basswright.drive.standard import STANDARD_SUPPLY_V
from basswright.errors import InputError
from basswright.records.car import HeadUnit
from basswright.records.enclosure import BuiltInAmplifier, Enclosure
from basswright.records.system import PowerMatch
from basswright.records.verdict import Verdict

#: Load of a built-in amplifier's drivers where the sheet is silent [ohm].
_TYPICAL_LOAD_OHM: Final = 4.0
#: Nominal load over the resistance of a coil (common practice, no source).
_NOMINAL_OVER_COIL: Final = 1.15


def built_in_match(
    enclosure: Enclosure, supply_voltage_v: float, head_unit: HeadUnit
) -> PowerMatch:
    """Return how the amplifier that a box brings suits its own cones.

    Parameters
    ----------
    enclosure : Enclosure
        With an amplifier of its own.
    supply_voltage_v : float
        Supply at that amplifier, engine running [V].
    head_unit : HeadUnit

    Returns
    -------
    PowerMatch
        Power [W], load [ohm] and gain voltage [V] inside the box; always "inside" its range.

    Raises
    ------
    InputError
        The box brings none.

    References
    ----------
    .. [1] As :func:`built_in_power_w` and :func:`~basswright.drive.gain_voltage`.
    """
    inner = enclosure.amplifier
    if inner is None:
        raise InputError(
            "no built-in amplifier; a separate one is needed", item=enclosure.id, field="amplifier"
        )
    load = built_in_load_ohm(enclosure)
    bound = _built_in_bound_w(inner)
    share = min(1.0, (supply_voltage_v / STANDARD_SUPPLY_V) ** 2)
    power = built_in_power_w(inner, supply_voltage_v)
    notes = [f"inner supply not stated: taken as unregulated, {share * 100:.0f} % of the power"]
    if enclosure.load_ohm is None:
        notes.append(f"load inside not stated: {load:g} ohm assumed (matters to nothing outside)")
    if bound is not None and bound < inner.power_w:
        notes.append(
            f"{inner.power_w:.0f} W is more than its fuse or current can stand for: "
            f"{bound:.0f} W taken; ask for the continuous (RMS) power"
        )
    voltage = float(gain_voltage(power, load))
    return PowerMatch(
        mode="single",
        load_ohm=load,
        wiring="The amplifier is built in and joined to its cones by the maker.",
        available_w=power,
        used_w=power,
        gain_voltage_v=voltage,
        zone="inside",
        below_top_db=0.0,
        verdict=Verdict(
            rule="power match",
            passes=True,
            margin=-NO_MARGIN_DB if bound is None else float(10 * np.log10(bound / power)),
            unit="dB",
            limit="matched by its maker",
            certainty="sure" if bound is None or bound >= inner.power_w else "too close to call",
        ),
        set_up=(
            "Gain fully down, bass boost off; radio at its highest clean volume with music that "
            "is known well; turn the gain up until the bass stops getting cleaner or louder, then "
            "back by a tenth of the range.",
        ),
        notes=tuple(notes),
        cautions=signal_cautions(head_unit, None),
    )


def built_in_load_ohm(enclosure: Enclosure) -> float:
    """Return the load inside a box that brings its own amplifier [ohm].

    Parameters
    ----------
    enclosure : Enclosure

    Returns
    -------
    float
        As stated; else 1.15 times the resistance of one cone's coils, all cones in parallel;
        else 4 ohm [ohm].

    Notes
    -----
    The two last are guesses (common practice, no source) that cancel out as long as level
    and power use the same load.
    """
    if enclosure.load_ohm is not None:
        return enclosure.load_ohm
    if enclosure.driver.Re_ohm is not None:
        return enclosure.driver.Re_ohm * _NOMINAL_OVER_COIL / enclosure.driver.count
    return _TYPICAL_LOAD_OHM


def built_in_power_w(inner: BuiltInAmplifier, supply_voltage_v: float) -> float:
    """Return what a built-in amplifier gives its own cones at the car's supply [W].

    Parameters
    ----------
    inner : BuiltInAmplifier
        Its stated power [W], fuse and greatest current [A].
    supply_voltage_v : float
        Above 0 [V].

    Returns
    -------
    float
        RMS power, never above the one stated [W].

    Notes
    -----
    No more than fuse (or current) x 14.4 V x the best efficiency of its class, unless it is
    within 125 % of that; taken as unregulated, P ~ V^2.

    References
    ----------
    .. [1] ANSI/CTA-2006, Testing and measurement methods for mobile audio amplifiers
       (14.4 V; from memory). The square is Ohm's law.
    """
    share = min(1.0, (supply_voltage_v / STANDARD_SUPPLY_V) ** 2)
    bound = _built_in_bound_w(inner)
    return min(inner.power_w, bound or inner.power_w) * share


def _built_in_bound_w(inner: BuiltInAmplifier) -> float | None:
    """Return what its fuse or current can stand for [W], None when 125 % is not passed."""
    limits = [a for a in (inner.fuse_a, inner.current_a) if a is not None]
    if not limits:
        return None
    best = GREATEST_EFFICIENCY_SHARE[inner.amplifier_class or "D"]
    bound = min(limits) * STANDARD_SUPPLY_V * best
    return bound if inner.power_w > 1.25 * bound else max(bound, inner.power_w)
