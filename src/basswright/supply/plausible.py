"""Figures of a car's charging system that cannot be true together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basswright.records.car import BatteryKind, Charging

#: Cold-cranking current (EN) over 20-hour capacity [A/Ah] that batteries are seen to
#: have (common practice, no source).
_CCA_PER_AH: Final[dict[BatteryKind, tuple[float, float]]] = {
    "flooded": (5.0, 13.0),
    "efb": (6.0, 14.0),
    "agm": (6.0, 16.0),
    "gel": (3.0, 13.0),
    "lithium": (5.0, 40.0),
}


@dataclass(frozen=True, kw_only=True)
class SupplyProblem:
    """One figure that cannot be taken as it stands.

    Attributes
    ----------
    field : str
        Dotted path in the record of the charging system.
    problem : str
    ask : str
        What to measure, or to read off.
    """

    field: str
    problem: str
    ask: str


def charging_problems(charging: Charging) -> tuple[SupplyProblem, ...]:
    """List what is impossible or unlikely about a charging system, with what to measure.

    Parameters
    ----------
    charging : Charging

    Returns
    -------
    tuple of SupplyProblem
        Empty where nothing stands out.

    Notes
    -----
    Looks at cold-cranking current over capacity [A/Ah], idle over rated output, the car's
    load over that output, and the parked drain [A]. The bounds are common practice, no
    source.
    """
    low, high = _CCA_PER_AH[charging.battery_kind]
    ratio = charging.battery_cca_a / charging.battery_capacity_ah
    found: list[SupplyProblem] = []
    if not low <= ratio <= high:
        found.append(
            SupplyProblem(
                field="battery_cca_a",
                problem=f"{charging.battery_cca_a:g} A with {charging.battery_capacity_ah:g} Ah is "
                f"{ratio:.1f} A for each Ah; {charging.battery_kind} batteries have {low:g} to "
                f"{high:g}",
                ask="both figures on the battery's label (EN, not SAE or peak amperes)",
            )
        )
    if charging.alternator_idle_a >= charging.alternator_rated_a:
        found.append(
            SupplyProblem(
                field="alternator_idle_a",
                problem="as much at idle as at speed; it is usually 45 to 65 %",
                ask="the first of the two currents on the alternator's label, or a clamp reading",
            )
        )
    elif charging.alternator_idle_a < 0.2 * charging.alternator_rated_a:
        found.append(
            SupplyProblem(
                field="alternator_idle_a",
                problem="less than a fifth of the rated output; it is usually 45 to 65 %",
                ask="a clamp reading at idle with all loads on",
            )
        )
    if charging.base_load_a > 0.9 * charging.alternator_rated_a:
        found.append(
            SupplyProblem(
                field="base_load_a",
                problem="the car alone would take all that its alternator gives",
                ask="a clamp reading with the lights on",
            )
        )
    if charging.standing_drain_a > 0.12:
        found.append(
            SupplyProblem(
                field="standing_drain_a",
                problem=f"{charging.standing_drain_a * 1000:.0f} mA is clearly too much for a "
                "parked car, or the car was not yet asleep",
                ask="the drain half an hour after locking, without opening a door",
            )
        )
    return tuple(found)
