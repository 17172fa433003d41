"""How far a model of a cabin is off even with the right readings, as smooth curves."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]


def smooth_errors(
    frequency_hz: FloatArray,
    draws: int,
    seed: int,
    *,
    spread_db: float | FloatArray,
    octaves: float = 0.5,
) -> ComplexArray:
    """Draw smooth complex factors around 1, the first of them exactly 1.

    Parameters
    ----------
    frequency_hz : ndarray, shape (f,)
    draws, seed : int
    spread_db : float or ndarray, shape (f,)
        Standard deviation of the level; the phase spreads by the same, in nepers.
    octaves : float
        Over how many octaves an error stays alike.

    Returns
    -------
    ndarray of complex, shape (draws, f)

    Notes
    -----
    A Gaussian process over log frequency with a squared-exponential covariance
    (Rasmussen and Williams, Gaussian Processes for Machine Learning, eq. 2.31), drawn
    on fixed knots so that a draw does not depend on the frequencies asked for.
    """
    knots = np.log2(5.0) + 0.5 * octaves * np.arange(int(np.ceil(2 * np.log2(100) / octaves)) + 1)
    covariance = _kernel(knots, knots, octaves) + 1e-9 * np.eye(len(knots))
    noise = np.random.default_rng([seed, 7]).standard_normal((2, draws, len(knots)))
    weight = np.linalg.solve(np.linalg.cholesky(covariance).T, noise.reshape(-1, len(knots)).T)
    curve = _kernel(np.log2(frequency_hz), knots, octaves) @ weight
    level, phase = curve.T.reshape(2, draws, -1) * spread_db * np.log(10) / 20
    factor = np.exp(level + 1j * phase)
    factor[0] = 1.0
    return np.asarray(factor)


def _kernel(a: FloatArray, b: FloatArray, octaves: float) -> FloatArray:
    return np.asarray(np.exp(-0.5 * ((a[:, None] - b[None, :]) / octaves) ** 2))
