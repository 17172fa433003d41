"""How long the fitting takes, by the workshop's stated times."""

from __future__ import annotations

from basswright.records.car import Car
from basswright.records.job import LabourTimes
from basswright.records.system import PriceLine

HOUR_S = 3600.0


def box_hours(times: LabourTimes, route_m: float) -> float:
    """Return the work that every system makes [h].

    Box, supply cable along its route [m], connecting and setting up.
    """
    seconds = (
        times.fit_box_s + times.lay_cable_s * route_m + times.connect_amplifier_s + times.set_up_s
    )
    return seconds / HOUR_S


def amplifier_hours(times: LabourTimes) -> float:
    """Return the work that a separate amplifier adds [h]."""
    return times.fit_amplifier_s / HOUR_S


def lines(
    times: LabourTimes, car: Car, *, separate: bool, upgrade_s: float, hourly_rate: float
) -> tuple[PriceLine, ...]:
    """Return the labour lines of a quote."""
    work = [
        ("Fit the box and hold it down", times.fit_box_s),
        ("Lay the supply cable", times.lay_cable_s * car.charging.cable_route_m),
        ("Connect signal, turn-on and loudspeaker", times.connect_amplifier_s),
        ("Set up and measure", times.set_up_s),
    ]
    if separate:
        work.insert(1, ("Fit the amplifier", times.fit_amplifier_s))
    if upgrade_s > 0:
        work.append(("Fit the charging-system upgrade", upgrade_s))
    return tuple(
        PriceLine(what=what, count=seconds / HOUR_S, unit="h", each=hourly_rate, kind="labour")
        for what, seconds in work
        if seconds > 0
    )
