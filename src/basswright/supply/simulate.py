"""Supply voltage over time: battery, alternator, cable, capacitor, amplifier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from basswright.errors import InputError
from basswright.records.base import Record
from basswright.records.car import Charging
from basswright.records.system import SupplyPlan
from basswright.supply.alternator import limit_a
from basswright.supply.battery import rest_voltage, warm_resistance_ohm
from basswright.supply.charging import DAY_LOAD_SHARE, HOT_IDLE_SHARE
from basswright.supply.circuit import NO_STORE, Circuit, Store
from basswright.supply.programme import STEP_S

#: Seconds of a battery's surface charge, charging and discharging branches: the surface
#: holds about 3 F and charging meets about 20 ohm for each Ah (common practice, no source).
SURFACE_F_PER_AH: Final = 3.0
CHARGE_OHM_AH: Final = 20.0
#: Lag of an alternator's field [s], and slope of its regulator [ohm] (from memory).
FIELD_LAG_S: Final = 0.1
REGULATOR_OHM: Final = 2e-3
#: Inductance of the loop for each metre of cable run [H/m] (from memory).
LOOP_HENRY_PER_M: Final = 0.8e-6
#: Capacitor at an amplifier's input [F] and its resistance [ohm] (common practice).
INPUT_FARAD: Final = 0.01
INPUT_OHM: Final = 5e-3
#: Filament light goes with about this power of the voltage, and lags by about [s]
#: (from memory).
LIGHT_EXPONENT: Final = 3.4
FILAMENT_S: Final = 0.05
#: Steps of 0.08 ms: the cable's inductance rings with the amplifier's input capacitor at
#: some 700 Hz, and with longer ones the ringing goes wrong.
INNER_STEPS: Final = 6
#: Battery resistance at -18 C over that at 25 C (from memory; see `WARM_SHARE`).
_COLD_SHARE: Final = 1 / 0.55


class SupplyCase(Record):
    """The state of the car in which a programme is played.

    Attributes
    ----------
    engine_rpm : float
        0 with the engine off [1/min].
    hot, night : bool
        Whether the alternator is hot, and the lights are on.
    charge_share, health_share : float
        Of the battery: state of charge, and what age has left (1: new) [-].
    battery_c : float
        Temperature of the battery [°C].
    engine_off_load_a : float
        What the car draws with the engine off [A].
    capacitor_farad, capacitor_ohm : float
        Capacitor at the amplifier [F], with its resistance and leads [ohm].
    input_power_w : float
        Supply power at full output [W]; 0: never clips by sag.
    rated_voltage_v : float
        Supply of that full output [V].
    """

    engine_rpm: float = Field(750.0, ge=0, le=8000, description="0: engine off")
    hot: bool = Field(True, description="alternator hot")
    night: bool = Field(True, description="lights on")
    charge_share: float = Field(0.9, ge=0.05, le=1, description="state of charge")
    battery_c: float = Field(25.0, ge=-30, le=60, description="temperature of the battery")
    health_share: float = Field(0.85, ge=0.2, le=1, description="ageing; 1: new")
    engine_off_load_a: float = Field(6.0, ge=0, le=60)
    capacitor_farad: float = Field(0.0, ge=0, le=1000, description="at the amplifier; 0: none")
    capacitor_ohm: float = Field(2.5e-3, gt=0, le=1, description="its resistance and leads")
    input_power_w: float = Field(
        0.0, ge=0, le=50000, description="supply power at full output; 0: never clips by sag"
    )
    rated_voltage_v: float = Field(14.4, ge=10, le=16, description="supply of that full output")


@dataclass(frozen=True, kw_only=True)
class SupplyTrace:
    """The supply over time.

    Attributes
    ----------
    time_s : ndarray, shape (t,)
        From the first sample [s].
    demand_w : ndarray, shape (t,)
        What the amplifier asks for [W].
    amplifier_v, bus_v : ndarray, shape (t,)
        At the amplifier, and at the battery where the lights are fed [V].
    alternator_a, battery_a, cable_a : ndarray, shape (t,)
        Currents; a positive battery current discharges it [A].
    clipped : ndarray of bool, shape (t,)
        Where the sagging supply cuts the output.
    """

    time_s: NDArray[np.float64]
    demand_w: NDArray[np.float64]
    amplifier_v: NDArray[np.float64]
    bus_v: NDArray[np.float64]
    alternator_a: NDArray[np.float64]
    battery_a: NDArray[np.float64]
    cable_a: NDArray[np.float64]
    clipped: NDArray[np.bool_]

    @property
    def lowest_v(self) -> float:
        """Lowest voltage at the amplifier [V]."""
        return float(self.amplifier_v.min())

    @property
    def loud_v(self) -> float:
        """Mean voltage at the amplifier while it asks for more than half of its most [V]."""
        loud = self.demand_w > 0.5 * self.demand_w.max()
        return float(self.amplifier_v[loud].mean()) if loud.any() else self.lowest_v

    @property
    def clipped_share(self) -> float:
        """Share of the time in which the sag cuts the output [-]."""
        return float(self.clipped.mean())

    @property
    def battery_used_ah(self) -> float:
        """Charge taken from the battery, charging subtracted [Ah]."""
        return float(self.battery_a.sum() * (self.time_s[1] - self.time_s[0]) / 3600)

    @property
    def lights_dip_share(self) -> float:
        """How much filament lights dim on the beat [-]: 0.1 is 10 % less light.

        Deepest fall of the light below its mean over the last two seconds. The light goes with
        the 3.4th power of the voltage and lags by 50 ms.

        References
        ----------
        .. [1] Illuminating Engineering Society, The Lighting Handbook (light of filament lamps
           against voltage; exponent from memory).
        """
        step = float(self.time_s[1] - self.time_s[0])
        light = (np.maximum(self.bus_v, 0.1) / 13.5) ** LIGHT_EXPONENT
        lagged = _running_mean(light, max(1, round(FILAMENT_S / step)))
        usual = _running_mean(light, max(1, round(2.0 / step)))
        return float(max(0.0, np.max(1 - lagged / usual)))


def simulate(
    plan: SupplyPlan, charging: Charging, demand_w: NDArray[np.float64], *, case: SupplyCase
) -> SupplyTrace:
    """Play a programme and watch the supply.

    Parameters
    ----------
    plan : SupplyPlan
        Cable, fuse, and any battery or alternator that goes in.
    charging : Charging
        The car's own system.
    demand_w : ndarray, shape (t,)
        What the amplifier asks of the supply, in steps of 0.5 ms
        (:func:`basswright.supply.demand_w`) [W].
    case : SupplyCase

    Returns
    -------
    SupplyTrace
        From rest at the first sample, in the same steps.

    Raises
    ------
    InputError
        Fewer than two samples, or a demand that is not a finite power.

    Notes
    -----
    Six implicit steps of 0.08 ms a sample. Temperature and charge of the battery stay those
    of the case: meant for minutes, not for hours.

    References
    ----------
    .. [1] L. W. Nagel, SPICE2, memorandum ERL-M520, University of California, Berkeley, 1975
       (trapezoidal companion models).
    """
    from basswright.supply import kernel

    demand = np.ascontiguousarray(demand_w, dtype=float)
    if demand.ndim != 1 or demand.size < 2 or not np.all(np.isfinite(demand)) or demand.min() < 0:
        raise InputError(
            "not a power over time", field="demand_w", allowed="two or more finite watts, 0 or more"
        )
    limit = np.full(demand.size, alternator_limit_a(plan, charging, case))
    rows = kernel.run(demand, limit, circuit(plan, charging, case), STEP_S, INNER_STEPS)
    return SupplyTrace(
        time_s=STEP_S * np.arange(demand.size, dtype=np.float64),
        demand_w=demand,
        amplifier_v=rows[:, kernel.AMPLIFIER_V],
        bus_v=rows[:, kernel.BUS_V],
        alternator_a=rows[:, kernel.ALTERNATOR_A],
        battery_a=rows[:, kernel.BATTERY_A],
        cable_a=rows[:, kernel.CABLE_A],
        clipped=rows[:, kernel.CLIPPED] > 0.5,
    )


def alternator_limit_a(plan: SupplyPlan, charging: Charging, case: SupplyCase) -> float:
    """Return what the alternator can give in a case [A].

    Parameters
    ----------
    plan : SupplyPlan
        Its alternator, if it has one, replaces the car's.
    charging : Charging
    case : SupplyCase

    Returns
    -------
    float
        0 with the engine off [A].

    References
    ----------
    .. [1] As :func:`~basswright.supply.alternator.output_a`; a hot alternator gives 0.8 of
       its output at idle (planning value).
    """
    if case.engine_rpm <= 0:
        return 0.0
    own = plan.alternator
    rated = charging.alternator_rated_a if own is None else own.rated_a
    idle = charging.alternator_idle_a if own is None else own.idle_a
    warm_idle = idle * (HOT_IDLE_SHARE if case.hot else 1.0)
    return float(limit_a(case.engine_rpm, rated_a=rated, idle_a=min(warm_idle, 0.999 * rated)))


def circuit(plan: SupplyPlan, charging: Charging, case: SupplyCase) -> Circuit:
    """Return the network of a plan in a case.

    Parameters
    ----------
    plan : SupplyPlan
    charging : Charging
    case : SupplyCase

    Returns
    -------
    Circuit
        Values in [V], [ohm], [F], [H] and [A].

    Notes
    -----
    A battery's resistance is its warm one, greater by age (1/health) and by cold (straight
    from 1 at 25 °C to 1/0.55 at -18 °C; from memory), once before its surface and once
    behind it.

    References
    ----------
    .. [1] EN 50342-1 (cranking test; from memory). Surface, regulator, inductance and input
       capacitor: from memory or common practice, as noted beside each constant.
    """
    own = (charging.battery_cca_a, charging.battery_capacity_ah)
    new = plan.battery
    first, second = own, NO_STORE
    if new is not None and new.role == "replace":
        first = (new.cca_a, new.capacity_ah)
    elif new is not None:
        second = _store(new.cca_a, new.capacity_ah, case)
    base = charging.base_load_a * (1.0 if case.night else DAY_LOAD_SHARE)
    return Circuit(
        battery=_store(*first, case),
        second=second,
        set_v=charging.running_voltage_v,
        alternator_ohm=REGULATOR_OHM,
        lag_s=FIELD_LAG_S,
        base_a=base if case.engine_rpm > 0 else case.engine_off_load_a,
        loop_ohm=plan.drop_v / plan.peak_current_a,
        loop_henry=LOOP_HENRY_PER_M * plan.cable_length_m,
        input_farad=INPUT_FARAD,
        input_ohm=INPUT_OHM,
        capacitor_farad=case.capacitor_farad,
        capacitor_ohm=case.capacitor_ohm,
        clip_siemens=case.input_power_w / case.rated_voltage_v**2,
    )


def _store(cca_a: float, capacity_ah: float, case: SupplyCase) -> Store:
    """Return a battery in its state of charge, temperature and age."""
    ohm = _battery_ohm(cca_a, case)
    return Store(
        rest_v=float(rest_voltage(case.charge_share)),
        series_ohm=ohm,
        surface_farad=SURFACE_F_PER_AH * capacity_ah * case.health_share,
        discharge_ohm=ohm,
        charge_ohm=CHARGE_OHM_AH / capacity_ah,
    )


def _battery_ohm(cca_a: float, case: SupplyCase) -> float:
    """Return a battery's resistance when cold and aged [ohm]."""
    cold = np.interp(case.battery_c, [-18.0, 25.0], [_COLD_SHARE, 1.0])
    return float(warm_resistance_ohm(cca_a) * cold / case.health_share)


def _running_mean(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the mean over the past samples, the first value standing for those before."""
    held = np.concatenate([np.full(width, values[0]), values])
    sums = np.cumsum(held)
    return np.asarray((sums[width:] - sums[:-width]) / width)
