"""How much a power rating gains by the distortion that it was taken at."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.drive.standard import STANDARD_DISTORTION_SHARE


def clipped_sine(level: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Tell power and distortion of a sine that is cut off symmetrically.

    Parameters
    ----------
    level : array_like
        Where it is cut, as a share of its own amplitude, 0 < level <= 1 [-].

    Returns
    -------
    power : ndarray, shape of `level`
        Total power, over that of a sine that just reaches the cut; 1 to 2 [-].
    distortion_share : ndarray, shape of `level`
        RMS of everything but the fundamental, over the RMS of the fundamental [-].

    Notes
    -----
    Fourier analysis of the saturation nonlinearity with c the level: fundamental
    (2/pi)(asin c + c sqrt(1 - c^2)), its describing function. A square wave (level to 0)
    has power 2 and distortion sqrt(pi^2/8 - 1) = 0.483.

    References
    ----------
    .. [1] J.-J. E. Slotine and W. Li, Applied Nonlinear Control, Prentice Hall, 1991, section
       5.2 (from memory).
    """
    cut = np.asarray(level, dtype=float)
    angle = np.arcsin(cut)
    mean_square = (2 / np.pi) * (angle / 2 - np.sin(2 * angle) / 4 + cut**2 * (np.pi / 2 - angle))
    fundamental = (2 / np.pi) * (angle + cut * np.sqrt(1 - cut**2))
    rest = np.maximum(mean_square - fundamental**2 / 2, 0.0)
    return mean_square / (cut**2 / 2), np.sqrt(rest / (fundamental**2 / 2))


@lru_cache(maxsize=1)
def _table() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    # Angles spaced so that small distortions are as finely divided as large ones.
    cut = 1 - np.geomspace(1e-5, 0.999, 800)
    power, distortion = clipped_sine(cut)
    return distortion, power


def undistorted_share(distortion_share: ArrayLike) -> NDArray[np.float64]:
    """Tell what is left of a power rating at the standard's distortion [-].

    An amplifier that clips gives more watts, but the added ones are distortion. A
    rating at more than 1 % is brought back to 1 % as if the amplifier cut the sine off
    sharply; a rating at less is left as it is, never raised.

    Parameters
    ----------
    distortion_share : array_like
        THD+N at which the power was rated, 0.1 for 10 % [-]. Beyond a square wave's 0.483
        the factor stays.

    Returns
    -------
    ndarray, shape of `distortion_share`
        Factor on the rated power, at most 1 [-].

    References
    ----------
    .. [1] ANSI/CTA-2006, Testing and measurement methods for mobile audio amplifiers (power
       at no more than 1 % THD+N; from memory).
    .. [2] As :func:`clipped_sine`.
    """
    distortion, power = _table()
    rated = np.interp(np.asarray(distortion_share, dtype=float), distortion, power)
    standard = np.interp(STANDARD_DISTORTION_SHARE, distortion, power)
    return np.asarray(np.minimum(1.0, standard / rated))
