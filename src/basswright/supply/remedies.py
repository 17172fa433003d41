"""What a capacitor or a second battery does to the voltage, and what it does not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.records.base import Record
from basswright.records.car import Charging
from basswright.records.electrics import BatteryUpgrade
from basswright.records.system import SupplyPlan
from basswright.supply.simulate import SupplyCase, SupplyTrace, simulate


class Remedy(Record):
    """One remedy against a sagging supply, beside the car as it is.

    Attributes
    ----------
    name : str
    loud_v, lowest_v : float
        At the amplifier: mean while it is loud, and the lowest [V].
    lights_dip_share : float
        How much filament lights dim on the beat [-].
    clipped_share : float
        Share of the time in which the sag cuts the output [-].
    battery_used_ah : float
        Taken from the car's own battery [Ah].
    loud_gain_db : float
        What an unregulated amplifier gains over the car as it is [dB].
    text : str
        The same for a person.
    """

    name: str
    loud_v: float
    lowest_v: float
    lights_dip_share: float
    clipped_share: float
    battery_used_ah: float
    loud_gain_db: float
    text: str


def remedies(
    plan: SupplyPlan,
    charging: Charging,
    demand_w: NDArray[np.float64],
    *,
    case: SupplyCase,
    capacitor_farad: float = 1.0,
    second: BatteryUpgrade | None = None,
) -> tuple[Remedy, ...]:
    """Play the same programme with each remedy.

    Parameters
    ----------
    plan : SupplyPlan
    charging : Charging
    demand_w : ndarray, shape (t,)
        What the amplifier asks of the supply [W].
    case : SupplyCase
    capacitor_farad : float
        At the amplifier [F].
    second : BatteryUpgrade, optional
        At the amplifier, beside the car's own.

    Returns
    -------
    tuple of Remedy
        As it is, with the capacitor, with the second battery, and both when one is
        given. `loud_gain_db` is what an unregulated amplifier gains, 20 log10 of the
        voltages while it is loud [dB].

    Raises
    ------
    InputError
        Fewer than two samples, or a demand that is not a finite power.
    """
    bare = simulate(plan, charging, demand_w, case=case)
    with_capacitor = case.model_copy(update={"capacitor_farad": capacitor_farad})
    played = [
        ("as it is", bare),
        (f"{capacitor_farad:g} F", simulate(plan, charging, demand_w, case=with_capacitor)),
    ]
    if second is not None:
        more = plan.model_copy(update={"battery": second})
        played.append((second.model, simulate(more, charging, demand_w, case=case)))
        played.append(
            (
                f"{second.model} and {capacitor_farad:g} F",
                simulate(more, charging, demand_w, case=with_capacitor),
            )
        )
    return tuple(_remedy(name, trace, bare) for name, trace in played)


def _remedy(name: str, trace: SupplyTrace, bare: SupplyTrace) -> Remedy:
    gain = float(20 * np.log10(trace.loud_v / bare.loud_v))
    text = (
        f"{name}: {trace.loud_v:.2f} V on average while it is loud ({gain:+.2f} dB), lowest "
        f"{trace.lowest_v:.2f} V, lights dip by {trace.lights_dip_share * 100:.1f} %, "
        f"{trace.battery_used_ah:.2f} Ah taken from the battery"
    )
    return Remedy(
        name=name,
        loud_v=trace.loud_v,
        lowest_v=trace.lowest_v,
        lights_dip_share=trace.lights_dip_share,
        clipped_share=trace.clipped_share,
        battery_used_ah=trace.battery_used_ah,
        loud_gain_db=gain,
        text=text,
    )
