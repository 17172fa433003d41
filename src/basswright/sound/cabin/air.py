"""The air in the cabin: density and speed of sound at 20 °C, and the zeroth mode."""

from __future__ import annotations

from typing import Final

#: Density of air at 20 °C and 101325 Pa [kg/m3], p / (287.05 J/(kg K) T).
DENSITY: Final = 1.204
#: Speed of sound in dry air at 20 °C [m/s], ISO 9613-1.
SPEED: Final = 343.2
#: Adiabatic bulk modulus [Pa].
BULK: Final = DENSITY * SPEED**2
