"""The parts of the supply network that the simulation steps through time."""

from __future__ import annotations

from typing import NamedTuple


class Store(NamedTuple):
    """A battery: rested voltage, resistance, and its surface that charges slowly.

    The surface holds charge like a capacitor; from the rested voltage to it leads one
    resistance while discharging and a greater one while charging. A negative
    `series_ohm` means that there is no such battery, 0 F that it has no surface.
    """

    rest_v: float
    series_ohm: float
    surface_farad: float
    discharge_ohm: float
    charge_ohm: float


class Circuit(NamedTuple):
    """Battery and alternator at the bus, a cable, and what hangs at its far end."""

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
