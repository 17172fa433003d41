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
SPREAD_LOSS: Final = 0.4


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A wall that gives, as a mass on a spring for each square metre.

    Attributes
    ----------
    mass_kg_m2 : float
        Mass for each square metre, trim included.
    resonance_hz : float
        First resonance of the panel.
    share : float
        Share of the wall's area that gives, times 0.66 for the first mode of a plate on
        simple supports or 0.44 for a clamped one (squared mean over mean square of its
        shape).
    loss : float
        Loss factor, trim included.
    """

    mass_kg_m2: float
    resonance_hz: float
    share: float
    loss: float = 0.25


#: What commonly gives in a car, by surface.
PANELS: Final[dict[str, Panel]] = {
    "roof": Panel(mass_kg_m2=9, resonance_hz=42, share=0.42),
    "sides": Panel(mass_kg_m2=14, resonance_hz=56, share=0.24),
    "rear": Panel(mass_kg_m2=20, resonance_hz=43, share=0.42),
    "floor": Panel(mass_kg_m2=17, resonance_hz=80, share=0.14),
    "screen": Panel(mass_kg_m2=12, resonance_hz=72, share=0.36),
    "front": Panel(mass_kg_m2=12, resonance_hz=60, share=0.1),
    "lid": Panel(mass_kg_m2=12, resonance_hz=48, share=0.18),
}
#: Which of them each wall of a closed-off boot is.
BOOT_PANELS: Final = {
    "roof": "lid",
    "rear": "lid",
    "front": "lid",
    "screen": "lid",
    "sides": "sides",
    "floor": "floor",
}
#: What stands between a closed-off boot and the cabin: panel and area [m2].
BULKHEAD: Final[dict[str, tuple[Panel, float]]] = {
    "shelf": (Panel(mass_kg_m2=4.5, resonance_hz=41, share=0.6), 0.72),
    "seat back": (Panel(mass_kg_m2=12, resonance_hz=41, share=0.58), 0.7),
}

#: End corrections of both sides [radii] beside a mesh: 1.7 (Rayleigh) less what the air
#: nearby adds by itself, as found with rigid walls against two volumes and a neck.
MESHED_END_RADII: Final = 1.4
# Where the leak's air mass overtakes its resistance [Hz].
_LEAK_MASS_HZ = 30.0
# Flow resistivity of seats [Pa s/m2], the gaps between, beside and below them included;
# foam and cover alone have 5,000 to 20,000.
_SEAT_RESISTIVITY = 2000.0
_SEAT_TORTUOSITY = 2.0
_SEAT_SPRING = 1.2
_LINING_M = 0.015  # headliner, carpet, trim foam and hollow trim, as foam [m]
_AIR_PRESSURE = 101325.0
# Openings of a bulkhead: loss, depth of the wall, and how many of equal size.
_OPENING_LOSS = 0.25
_OPENING_WALL_M = 0.05
_OPENING_HOLES = 2
# Air that seeps through upholstery, seams and gaps that nobody sees [m3/(Pa s)].
_SEEP = 0.6 / 20e3


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


def lining_admittance(omega: FloatArray, sample: Unknowns) -> ComplexArray:
    """Velocity for each pascal into headliner, carpet and hollow trim, (draws, f).

    A layer much thinner than a wavelength is a spring; in foam the air is compressed
    at constant temperature, so it gives as d/p0 (Allard and Atalla, ch. 5).
    """
    thick = _LINING_M * sample.factor("lining")[:, None]
    return np.asarray(1j * omega * thick / _AIR_PRESSURE)


def hole_admittance(
    cabin: Cabin,
    omega: FloatArray,
    sample: Unknowns,
    *,
    end_radii: float = 2 * 0.85,
    seeps: bool = True,
) -> ComplexArray:
    """Volume velocity through the openings for each pascal across them, (draws, f).

    A mass of air with a flanged end correction of 0.85 radii on each side (Rayleigh), less
    what a mesh counts by itself, and what seeps through upholstery even where no opening
    was read.
    """
    area = cabin.boot_opening_m2 * sample.factor("opening")[:, None]
    seep = _SEEP * sample.factor("seep")[:, None] * seeps
    radius = np.sqrt(area / (np.pi * _OPENING_HOLES))
    length = (_OPENING_WALL_M + end_radii * radius) * sample.factor("neck")[:, None]
    loss = _OPENING_LOSS * sample.factor("hole loss")[:, None]
    return np.asarray(seep + area / (DENSITY * length * omega * (1j + loss)))


def bulkhead_admittance(name: str, omega: FloatArray, sample: Unknowns) -> ComplexArray:
    """Volume velocity of a part of the bulkhead for each pascal across it, (draws, f)."""
    panel, area = BULKHEAD[name]
    return area * panel_admittance(panel, name, omega, sample)
