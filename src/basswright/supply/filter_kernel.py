"""A fourth-order low-pass for long recordings."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray


@njit(cache=True, nogil=True)
def low_pass(samples: NDArray[np.float64], warped: float) -> NDArray[np.float64]:
    """Filter samples by two equal Butterworth sections (Linkwitz-Riley, 4th order).

    Parameters
    ----------
    samples : ndarray, shape (n,)
        In any unit.
    warped : float
        tan(pi f / rate), f the corner (-6 dB) [-]: the bilinear transform bent so that the
        corner is exact.

    Returns
    -------
    ndarray, shape (n,)
        In the unit of the samples; the filter starts at rest.

    References
    ----------
    .. [1] S. H. Linkwitz, "Active crossover networks for noncoincident drivers", JAES 24(1),
       1976, pp. 2-8.
    .. [2] A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing (bilinear
       transform with prewarping; transposed direct form II).
    """
    norm = 1.0 + np.sqrt(2.0) * warped + warped * warped
    b0 = warped * warped / norm
    a1 = 2.0 * (warped * warped - 1.0) / norm
    a2 = (1.0 - np.sqrt(2.0) * warped + warped * warped) / norm
    out = np.empty_like(samples)
    p1, p2, q1, q2 = 0.0, 0.0, 0.0, 0.0
    for n in range(samples.size):
        x = samples[n]
        y = b0 * x + p1
        p1 = 2.0 * b0 * x - a1 * y + p2
        p2 = b0 * x - a2 * y
        z = b0 * y + q1
        q1 = 2.0 * b0 * y - a1 * z + q2
        q2 = b0 * y - a2 * z
        out[n] = z
    return out
