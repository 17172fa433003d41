"""What a model of the installed system has to answer, so that faults can be tried on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]


@dataclass(frozen=True, kw_only=True)
class Change:
    """What is different from the plan; the defaults change nothing.

    Attributes
    ----------
    leak_Q : float or None
        Q of the box by its leaks alone, at its own resonance (closed box) or tuning.
    coil_share : float
        Part of the coils that is connected: the force for a current falls with it, the
        resistance rises with its inverse.
    opposed_share : float or None
        Two drivers (or coils) work against each other; what is left of their sum.
    moved_m : tuple of float
        Shift of the cone along x, y, z [m].
    boot_opening_share : float
        Opening between boot and cabin over the planned one.
    """

    leak_Q: float | None = None
    coil_share: float = 1.0
    opposed_share: float | None = None
    moved_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
    boot_opening_share: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What was fitted, as far as faults depend on it.

    Attributes
    ----------
    drivers : int
        Cones in the box.
    coils : int
        Voice coils in the box, all drivers together.
    in_series : int or None
        How many of them are in series, in parallel groups; None if it is not known.
    low_pass_hz : float
        Planned corner, Butterworth of fourth order.
    gain_voltage_v : float
        RMS at the terminals for a full-scale sine.
    amplifier_voltage_v : float
        Most that the amplifier can give into this load at `rated_supply_v`, RMS.
    rated_supply_v, supply_v, efficiency_share, supply_ohm : float
        Supply at which the amplifier is rated, supply with the engine running, amplifier
        efficiency at full power, and planned resistance of cable, joints and battery.
    has_boot : bool
        Whether a boot is closed off from the cabin.
    moves_m : tuple of tuple of float
        Places to which the cone may have been moved or turned, relative to the plan.
    resistance_ohm : float
        Planned direct-current resistance at the terminals.
    """

    drivers: int = 1
    coils: int = 1
    in_series: int | None = 1
    low_pass_hz: float = 80.0
    gain_voltage_v: float = 30.0
    amplifier_voltage_v: float = 35.0
    rated_supply_v: float = 14.4
    supply_v: float = 13.8
    efficiency_share: float = 0.78
    supply_ohm: float = 0.015
    has_boot: bool = False
    moves_m: tuple[tuple[float, float, float], ...] = ()
    resistance_ohm: float = 3.4


class Plant(Protocol):
    """A model of box and cabin as planned, that can be changed.

    It answers in d draws of what the plan leaves open; draw 0 is the middle. A draw is the
    same box and cabin for every change.
    """

    @property
    def frequency_hz(self) -> Floats:
        """Frequencies of every answer [Hz], shape (f,)."""

    @property
    def facts(self) -> Facts:
        """What was fitted."""

    def pressure(self, change: Change) -> Complex:
        """Return the pressure at the ear for 1 V at the terminals [Pa/V], shape (d, f)."""

    def flow(self, change: Change) -> Complex:
        """Return the volume velocity for 1 V [m3/(s V)], middle draw, shape (f,)."""

    def near(self, change: Change) -> Complex:
        """Return the pressure where the plan has the cone, at its surface, for 1 V.

        [Pa/V], shape (d, f). A cone that was moved away is heard from afar.
        """

    def impedance(self, change: Change) -> Complex:
        """Return the impedance at the terminals [ohm], middle draw, shape (f,)."""
