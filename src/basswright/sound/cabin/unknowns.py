"""What the readings of a cabin leave open, as one vector with a prior.

Each entry is the logarithm of a factor on a reading or on an estimate, except those of
places, which shift the ear and the holes of a bulkhead by metres. All zero is the middle
of the prior, which is one car among many and not the answer for an unknown car: that is
the mean over the ensemble.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Walls whose give and resonance are unsure.
WALLS: Final = ("roof", "sides", "rear", "floor", "screen", "front", "lid", "shelf", "seat back")
#: Name -> standard deviation of the prior; common practice, no source.
PRIOR: Final[dict[str, float]] = {
    "leak": 0.5,
    "loss": 0.5,
    "opening": 0.25,
    "neck": 0.35,
    "hole loss": 0.6,
    "seep": 1.0,
    "volume": 0.05,
    "length": 0.03,
    "seat": 1.3,
    "lining": 0.5,
    **{f"give {wall}": 0.4 for wall in WALLS},
    **{f"resonance {wall}": 0.28 for wall in WALLS},
    "hole y": 0.3,
    "hole z": 0.12,
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

    def shift_m(self, name: str) -> FloatArray:
        """Return a shift for each draw, shape (draws,) [m]."""
        return np.asarray(self.values[:, NAMES.index(name)])

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


def spread_out(count: int) -> FloatArray:
    """Return standard normal values that fill their space evenly, (count, unknowns).

    A Latin hypercube: every unknown takes each of `count` equally likely values once
    (McKay, Beckman and Conover, Technometrics 21, 1979). Always the same.
    """
    from scipy.special import ndtri

    rng = np.random.default_rng(1979)
    level = ndtri((np.arange(count) + 0.5) / count)
    return np.stack([rng.permutation(level) for _ in NAMES], axis=1)


def ensemble(
    count: int, *, centre: FloatArray | None = None, root: FloatArray | None = None
) -> Unknowns:
    """Return values of the unknowns that stand for all cars that the readings allow."""
    noise = spread_out(count)
    spread = noise * SPREAD if root is None else noise @ root.T
    return Unknowns(spread if centre is None else spread + centre)
