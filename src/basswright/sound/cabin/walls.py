"""What the tape does not tell: how walls give, leak and damp, and how unsure that is.

Every figure here is common practice without a source: it is a prior, shown as an
estimate, and narrowed by a measurement in the car.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Cabin
from basswright.sound.cabin.air import BULK, DENSITY

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]


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
    "roof": Panel(mass_kg_m2=8, resonance_hz=34, loss=0.5, share=0.55),
    "sides": Panel(mass_kg_m2=10, resonance_hz=46, loss=0.5, share=0.35),
    "rear": Panel(mass_kg_m2=10, resonance_hz=42, loss=0.5, share=0.45),
    "floor": Panel(mass_kg_m2=12, resonance_hz=55, loss=0.5, share=0.12),
    "screen": Panel(mass_kg_m2=12, resonance_hz=55, loss=0.5, share=0.4),
    "front": Panel(mass_kg_m2=12, resonance_hz=60, loss=0.5, share=0.2),
}
#: The wall between a closed-off boot and the cabin, by its whole area.
BULKHEAD: Final = Panel(mass_kg_m2=9, resonance_hz=38, loss=0.5, share=0.5)
BULKHEAD_AREA_M2: Final = 0.9

# How unsure each is: standard deviation of the natural logarithm.
_LEAK_SPREAD = 0.5
_LOSS_SPREAD = 0.35
_GIVE_SPREAD = 0.4
_RESONANCE_SPREAD = 0.25
_OPENING_SPREAD = 0.3
_VOLUME_SPREAD = 0.05
_LENGTH_SPREAD = 0.02
_EAR_SPREAD_M = 0.05
# Where the leak's air mass overtakes its resistance [Hz].
_LEAK_MASS_HZ = 40.0
_SEAT_RESISTIVITY = 8000.0  # flow resistivity of seat foam and cover [Pa s/m2]
_SEAT_TORTUOSITY = 1.3
_SEAT_SPRING = 1.2
_OPENING_LOSS = 0.25
_OPENING_WALL_M = 0.05
_OPENING_HOLES = 2


@dataclass(frozen=True, kw_only=True)
class Unknowns:
    """One sample of everything uncertain for each draw, the first being the middle.

    Factors are relative to the readings and the priors of this module; each has shape
    (draws,), the dictionaries one such row a surface, `ear_m` shape (draws, 3).
    """

    leak: FloatArray
    loss: FloatArray
    opening: FloatArray
    volume: FloatArray
    length: FloatArray
    seat: FloatArray
    give: dict[str, FloatArray] = field(default_factory=dict)
    resonance: dict[str, FloatArray] = field(default_factory=dict)
    ear_m: FloatArray = field(default_factory=lambda: np.zeros((1, 3)))


def unknowns(draws: int, seed: int) -> Unknowns:
    """Draw what the readings leave open; draw 0 is the middle of every one."""
    rng = np.random.default_rng(seed)

    def factor(spread: float) -> FloatArray:
        row = np.exp(spread * rng.standard_normal(draws))
        row[0] = 1.0
        return row

    names = (*PANELS, "bulkhead")
    ear = _EAR_SPREAD_M * rng.standard_normal((draws, 3))
    ear[0] = 0.0
    return Unknowns(
        leak=factor(_LEAK_SPREAD),
        loss=factor(_LOSS_SPREAD),
        opening=factor(_OPENING_SPREAD),
        volume=factor(_VOLUME_SPREAD),
        length=factor(_LENGTH_SPREAD),
        seat=factor(0.5),
        give={name: factor(_GIVE_SPREAD) for name in names},
        resonance={name: factor(_RESONANCE_SPREAD) for name in names},
        ear_m=ear,
    )


def panel_admittance(
    panel: Panel, omega: FloatArray, give: FloatArray, resonance: FloatArray
) -> ComplexArray:
    """Velocity for each pascal of a panel [m/(Pa s)], shape (draws, f)."""
    natural = 2 * np.pi * panel.resonance_hz * resonance[:, None]
    spring = natural**2 * (1 + 1j * panel.loss) - omega**2
    return np.asarray(panel.share * give[:, None] * 1j * omega / (panel.mass_kg_m2 * spring))


def leak_admittance(cabin: Cabin, omega: FloatArray, leak: FloatArray) -> ComplexArray:
    """Volume velocity for each pascal through the seals of a closed car [m3/(Pa s)].

    A resistance whose corner with the cabin's compliance V/(ρc²) is the reading, in
    series with the mass of the air in the gaps; shape (draws, f).
    """
    conductance = 2 * np.pi * cabin.leak_corner_hz * cabin.volume_m3 / BULK
    mass = 1 + 1j * omega / (2 * np.pi * _LEAK_MASS_HZ)
    return np.asarray(conductance * leak[:, None] / mass)


def seat_mobility(omega: FloatArray, seat: FloatArray) -> ComplexArray:
    """Mobility of the air in seat foam relative to free air, shape (draws, f).

    Rigid-frame foam at low frequency: ρ_eff = ρ τ + σ/(jω) (Allard and Atalla,
    Propagation of Sound in Porous Media, ch. 5).
    """
    drag = _SEAT_RESISTIVITY * seat[:, None] / (1j * omega * DENSITY)
    return np.asarray(1 / (_SEAT_TORTUOSITY + drag))


def seat_spring() -> float:
    """Springiness of the air in seats relative to free air: nearer to isothermal."""
    return _SEAT_SPRING


def bulkhead_admittance(
    cabin: Cabin, omega: FloatArray, sample: Unknowns, *, stiff_wall: bool = False
) -> ComplexArray:
    """Volume velocity from boot to cabin for each pascal between them, shape (draws, f).

    The openings as a mass of air with a flanged end correction of 0.85 radii on each
    side (Rayleigh), in parallel with the bulkhead's own give.
    """
    area = max(cabin.boot_opening_m2, 1e-4) * sample.opening[:, None]
    radius = np.sqrt(area / (np.pi * _OPENING_HOLES))
    length = _OPENING_WALL_M + 2 * 0.85 * radius
    holes = area / (DENSITY * length * omega * (1j + _OPENING_LOSS))
    if stiff_wall:
        return np.asarray(holes)
    wall = panel_admittance(BULKHEAD, omega, sample.give["bulkhead"], sample.resonance["bulkhead"])
    return np.asarray(holes + BULKHEAD_AREA_M2 * wall)
