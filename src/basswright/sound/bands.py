"""How wide a band the draws leave open."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.sound.models import Array

#: Ends of a 90 % band.
ENDS: Final = (0.05, 0.95)


def band(curves: Array) -> tuple[Array, Array]:
    """Return both ends of the 90 % band of curves in draws.

    Parameters
    ----------
    curves : ndarray, shape (..., d, f)
        Draw 0 is the middle and does not count, unless it is the only one.

    Returns
    -------
    tuple of ndarray, each of shape (..., f)
        Median-unbiased quantiles, position p (m + 1/3) + 1/3 among m sorted cases
        (Hyndman and Fan, *American Statistician* 50, 1996, definition 8).
    """
    cases = curves[..., 1:, :] if curves.shape[-2] > 1 else curves
    ranked = np.sort(np.ascontiguousarray(np.swapaxes(cases, -1, -2)), axis=-1)
    count = ranked.shape[-1]
    low, high = (_at(ranked, share * (count + 1 / 3) + 1 / 3 - 1) for share in ENDS)
    return low, high


def _at(ranked: Array, position: float) -> Array:
    below = int(np.clip(np.floor(position), 0, ranked.shape[-1] - 1))
    above = min(below + 1, ranked.shape[-1] - 1)
    share = float(np.clip(position - below, 0.0, 1.0))
    return np.asarray((1 - share) * ranked[..., below] + share * ranked[..., above])
