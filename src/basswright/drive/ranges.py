"""What power a box takes where its sheet does not say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.records.enclosure import Enclosure

#: Nominal cone size [m] -> RMS power of a typical driver in a ready-made box [W]
#: (common practice, no source).
_CONE_SIZE_M: Final = (0.165, 0.20, 0.25, 0.30, 0.38, 0.46)
_CONE_POWER_W: Final = (80.0, 130.0, 220.0, 300.0, 450.0, 600.0)
#: Top of the range of a box of which nothing is known [W]; the least of the table that
#: a full-sized box has, so that the guess errs towards a gain set too low.
TYPICAL_HIGH_W: Final = 200.0
#: Bottom of a range over its top, where only one end is known.
TYPICAL_LOW_SHARE: Final = 1 / 3


@dataclass(frozen=True, kw_only=True)
class PowerRanges:
    """Recommended power of n boxes.

    Attributes
    ----------
    low_w, high_w : ndarray, shape (n,)
        RMS, never NaN [W].
    estimated : ndarray of bool, shape (n,)
        True where an end is a typical figure and not the supplier's.
    """

    low_w: NDArray[np.float64]
    high_w: NDArray[np.float64]
    estimated: NDArray[np.bool_]


def power_ranges(enclosures: Sequence[Enclosure]) -> PowerRanges:
    """Return each box's power range, from its sheet or from the size of its cones [W].

    Parameters
    ----------
    enclosures : sequence of Enclosure, length n

    Returns
    -------
    PowerRanges
        Arrays of shape (n,) [W].

    Notes
    -----
    What is missing is typical (common practice, no source): the top by the nominal size of
    the cones, straight lines between sizes, times their number; the bottom a third of the
    top.
    """
    low = np.array([box.power_low_w or np.nan for box in enclosures], dtype=float)
    high = np.array([box.power_high_w or np.nan for box in enclosures], dtype=float)
    size = np.array([box.driver.size_m for box in enclosures], dtype=float)
    count = np.array([box.driver.count for box in enclosures], dtype=float)
    typical = np.interp(size, _CONE_SIZE_M, _CONE_POWER_W) * count
    from_low = np.where(np.isnan(low), typical, np.maximum(typical, low))
    filled_high = np.where(np.isnan(high), from_low, high)
    filled_low = np.where(np.isnan(low), filled_high * TYPICAL_LOW_SHARE, low)
    return PowerRanges(
        low_w=np.minimum(filled_low, filled_high),
        high_w=filled_high,
        estimated=np.isnan(low) | np.isnan(high),
    )
