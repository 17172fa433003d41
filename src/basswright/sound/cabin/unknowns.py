"""What the readings of a cabin leave open, as one vector with a prior.

Each entry is the logarithm of a factor on a reading or on an estimate, except the last
three, which shift the ear by metres. All zero is the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Walls whose give and resonance are unsure.
WALLS: Final = ("roof", "sides", "rear", "floor", "screen", "front", "bulkhead")
#: Name -> standard deviation of the prior; common practice, no source.
PRIOR: Final[dict[str, float]] = {
    "leak": 0.5,
    "loss": 0.35,
    "opening": 0.3,
    "volume": 0.05,
    "length": 0.03,
    "seat": 0.5,
    **{f"give {wall}": 0.5 for wall in WALLS},
    **{f"resonance {wall}": 0.25 for wall in WALLS},
    "ear x": 0.05,
    "ear y": 0.05,
    "ear z": 0.05,
}
NAMES: Final = tuple(PRIOR)
SPREAD: Final = np.array(list(PRIOR.values()))


@dataclass(frozen=True)
class Unknowns:
    """Values of everything uncertain for each draw.

    Attributes
    ----------
    values : ndarray, shape (draws, unknowns)
        In the order of :data:`NAMES`.
    """

    values: FloatArray

    def factor(self, name: str) -> FloatArray:
        """Return a factor for each draw, shape (draws,)."""
        return np.asarray(np.exp(self.values[:, NAMES.index(name)]))

    @property
    def ear_m(self) -> FloatArray:
        """Shift of the ear, shape (draws, 3) [m]."""
        return self.values[:, -3:]

    def __len__(self) -> int:
        return len(self.values)


def unknowns(
    draws: int, seed: int, *, centre: FloatArray | None = None, root: FloatArray | None = None
) -> Unknowns:
    """Draw values of the unknowns; draw 0 is the middle.

    Parameters
    ----------
    draws, seed : int
    centre : ndarray, shape (unknowns,), optional
        The middle; zero by default.
    root : ndarray, shape (unknowns, unknowns), optional
        A square root of the covariance; the prior's by default.
    """
    noise = np.random.default_rng(seed).standard_normal((draws, len(NAMES)))
    noise[0] = 0.0
    spread = noise * SPREAD if root is None else noise @ root.T
    return Unknowns(spread if centre is None else spread + centre)
