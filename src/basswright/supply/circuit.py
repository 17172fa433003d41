"""The parts of the supply network that the simulation steps through time."""

from __future__ import annotations

from typing import NamedTuple


class Store(NamedTuple):
    """A battery: rested voltage, resistance, and its surface that charges slowly.

    The surface holds charge like a capacitor; from the rested voltage to it leads one
    resistance while discharging and a greater one while charging.

    Attributes
    ----------
    rest_v : float
        Rested voltage [V].
    series_ohm : float
        Resistance before the surface [ohm]; negative where there is no such battery.
    surface_farad : float
        Capacity of the surface [F]; 0 where it has none.
    discharge_ohm, charge_ohm : float
        From the rested voltage to the surface, discharging and charging [ohm].
    """

    rest_v: float
    series_ohm: float
    surface_farad: float
    discharge_ohm: float
    charge_ohm: float


class Circuit(NamedTuple):
    """Battery and alternator at the bus, a cable, and what hangs at its far end.

    Attributes
    ----------
    battery, second : Store
        At the bus, and at the amplifier.
    set_v : float
        What the regulator holds [V].
    alternator_ohm : float
        Slope of the regulator [ohm].
    lag_s : float
        Lag of the field [s]; 0 for none.
    base_a : float
        What the car draws [A].
    loop_ohm, loop_henry : float
        Cable, return, joints and fuse [ohm] and [H].
    input_farad, input_ohm : float
        Capacitor inside the amplifier [F] and its resistance [ohm].
    capacitor_farad, capacitor_ohm : float
        Capacitor beside the amplifier [F] and its resistance [ohm]; 0 F for none.
    clip_siemens : float
        Full supply power over the square of its rated voltage [S]; 0: never clips by sag.
    """

    battery: Store
    second: Store
    set_v: float
    alternator_ohm: float
    lag_s: float
    base_a: float
    loop_ohm: float
    loop_henry: float
    input_farad: float
    input_ohm: float
    capacitor_farad: float
    capacitor_ohm: float
    clip_siemens: float


#: No battery in this place.
NO_STORE = Store(rest_v=0.0, series_ohm=-1.0, surface_farad=0.0, discharge_ohm=1.0, charge_ohm=1.0)
