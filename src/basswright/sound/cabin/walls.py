"""What the tape does not tell: how walls give, leak and damp, and how unsure that is.

Every figure here is common practice without a source: it is a prior, shown as an
estimate, and narrowed by a measurement in the car.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Cabin
from basswright.sound.cabin.air import BULK, DENSITY
from basswright.sound.cabin.unknowns import Unknowns

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

#: Share of the reading `loss_factor` that is spread over the air; panels and seats, which
#: are modelled by themselves, make the rest.
SPREAD_LOSS: Final = 0.5


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A wall that gives, as a mass on a spring for each square metre.

    Attributes
    ----------
    mass_kg_m2 : float
        Mass for each square metre, trim included.
    resonance_hz : float
        First resonance of the panel.
    loss : float
        Loss factor, widened by not knowing the resonance.
    share : float
        Share of the wall's area that gives, times the mean of the panel's shape.
    """

    mass_kg_m2: float
    resonance_hz: float
    loss: float
    share: float


#: What commonly gives in a car, by surface.
PANELS: Final[dict[str, Panel]] = {
    "roof": Panel(mass_kg_m2=8, resonance_hz=32, loss=0.42, share=0.54),
    "sides": Panel(mass_kg_m2=10, resonance_hz=60, loss=0.42, share=0.27),
    "rear": Panel(mass_kg_m2=10, resonance_hz=40, loss=0.42, share=0.46),
    "floor": Panel(mass_kg_m2=12, resonance_hz=72, loss=0.42, share=0.12),
    "screen": Panel(mass_kg_m2=12, resonance_hz=72, loss=0.42, share=0.37),
    "front": Panel(mass_kg_m2=12, resonance_hz=60, loss=0.42, share=0.2),
}
#: The wall between a closed-off boot and the cabin, by its whole area.
BULKHEAD: Final = Panel(mass_kg_m2=9, resonance_hz=27, loss=1.2, share=0.9)
BULKHEAD_AREA_M2: Final = 1.2

# Where the leak's air mass overtakes its resistance [Hz].
_LEAK_MASS_HZ = 27.0
_SEAT_RESISTIVITY = 6100.0  # flow resistivity of seat foam and cover [Pa s/m2]
_SEAT_TORTUOSITY = 1.3
_SEAT_SPRING = 1.2
_LINING_M = 0.033  # headliner, carpet, trim foam and hollow trim, as foam [m]
_AIR_PRESSURE = 101325.0
_OPENING_LOSS = 0.19
_OPENING_WALL_M = 0.03
_OPENING_HOLES = 3


def panel_admittance(panel: Panel, name: str, omega: FloatArray, sample: Unknowns) -> ComplexArray:
    """Velocity for each pascal of a panel [m/(Pa s)], shape (draws, f)."""
    natural = 2 * np.pi * panel.resonance_hz * sample.factor(f"resonance {name}")[:, None]
    spring = natural**2 * (1 + 1j * panel.loss) - omega**2
    give = panel.share * sample.factor(f"give {name}")[:, None]
    return np.asarray(give * 1j * omega / (panel.mass_kg_m2 * spring))


def leak_admittance(cabin: Cabin, omega: FloatArray, sample: Unknowns) -> ComplexArray:
    """Volume velocity for each pascal through the seals of a closed car [m3/(Pa s)].

    A resistance whose corner with the cabin's compliance V/(ρc²) is the reading, in
    series with the mass of the air in the gaps; shape (draws, f).
    """
    conductance = 2 * np.pi * cabin.leak_corner_hz * cabin.volume_m3 / BULK
    mass = 1 + 1j * omega / (2 * np.pi * _LEAK_MASS_HZ)
    return np.asarray(conductance * sample.factor("leak")[:, None] / mass)


def seat_mobility(omega: FloatArray, sample: Unknowns) -> ComplexArray:
    """Mobility of the air in seat foam relative to free air, shape (draws, f).

    Rigid-frame foam at low frequency: ρ_eff = ρ τ + σ/(jω) (Allard and Atalla,
    Propagation of Sound in Porous Media, ch. 5).
    """
    drag = _SEAT_RESISTIVITY * sample.factor("seat")[:, None] / (1j * omega * DENSITY)
    return np.asarray(1 / (_SEAT_TORTUOSITY + drag))


def seat_spring() -> float:
    """Springiness of the air in seats relative to free air: nearer to isothermal."""
    return _SEAT_SPRING


def lining_admittance(omega: FloatArray) -> ComplexArray:
    """Velocity for each pascal into headliner, carpet and hollow trim [m/(Pa s)], (f,).

    A layer much thinner than a wavelength is a spring; in foam the air is compressed
    at constant temperature, so it gives as d/p0 (Allard and Atalla, ch. 5).
    """
    return np.asarray(1j * omega * _LINING_M / _AIR_PRESSURE)


def bulkhead_admittance(
    cabin: Cabin, omega: FloatArray, sample: Unknowns, *, stiff_wall: bool = False
) -> ComplexArray:
    """Volume velocity from boot to cabin for each pascal between them, shape (draws, f).

    The openings as a mass of air with a flanged end correction of 0.85 radii on each
    side (Rayleigh), in parallel with the bulkhead's own give.
    """
    area = max(cabin.boot_opening_m2, 1e-4) * sample.factor("opening")[:, None]
    radius = np.sqrt(area / (np.pi * _OPENING_HOLES))
    length = _OPENING_WALL_M + 2 * 0.85 * radius
    holes = area / (DENSITY * length * omega * (1j + _OPENING_LOSS))
    if stiff_wall:
        return np.asarray(holes)
    wall = panel_admittance(BULKHEAD, "bulkhead", omega, sample)
    return np.asarray(holes + BULKHEAD_AREA_M2 * wall)
