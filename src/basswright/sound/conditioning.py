"""What is believed of the unknowns once the published figures are known.

The prior and every figure that is a product of powers are normal in logarithms, so
that conditioning on them is exact, one scalar figure at a time. What is left, the low
limit and what makers aim at, weighs draws from that belief (importance sampling, then
systematic resampling).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Final

import numpy as np

from basswright.sound.figures import Linear
from basswright.sound.models import Array

_BASE_SEED: Final = 20


def conditioned(mean: Array, spread: Array, figures: Sequence[Linear]) -> tuple[Array, Array]:
    """Return mean and covariance of the unknowns given all the figures.

    Parameters
    ----------
    mean, spread : ndarray, shape (n, p)
        Of the logarithms of the unknowns before [-].
    figures : sequence of Linear
        Each one row of a matrix for n boxes; NaN where a box's sheet is silent.

    Returns
    -------
    mean : ndarray, shape (n, p)
    covariance : ndarray, shape (n, p, p)
        Of the logarithms after [-].

    Notes
    -----
    For each figure y = h x + noise of variance r: gain K = P h / (h P h + r), x + K (y - h x),
    P - K h P.

    References
    ----------
    .. [1] R. E. Kalman, "A new approach to linear filtering and prediction problems", Journal
       of Basic Engineering 82(1), 1960, pp. 35-45.
    """
    mean = mean.copy()
    covariance = np.zeros((*mean.shape, mean.shape[1]))
    rows = np.arange(mean.shape[1])
    covariance[:, rows, rows] = spread**2
    for figure in figures:
        known = np.flatnonzero(~np.isnan(figure.value))
        if known.size == 0:
            continue
        part = covariance[known]
        reach = part @ figure.row
        gain = reach / (reach @ figure.row + figure.spread[known] ** 2)[:, None]
        surprise = figure.value[known] - mean[known] @ figure.row
        mean[known] += gain * surprise[:, None]
        covariance[known] = part - gain[:, :, None] * reach[:, None, :]
    return mean, covariance


def proposals(
    mean: Array, covariance: Array, *, ids: Sequence[str], count: int, seed: int
) -> Array:
    """Return draws of the unknowns.

    Parameters
    ----------
    mean : ndarray, shape (n, p)
    covariance : ndarray, shape (n, p, p)
        Of the logarithms [-].
    ids : sequence of str, length n
    count : int
        Draws a box.
    seed : int

    Returns
    -------
    ndarray, shape (n, count, p)
        Logarithms of the unknowns [-].

    Notes
    -----
    A Latin hypercube, shifted for each box by a hash of its id, so that a box draws the same
    whatever else is in the list, turned normal and correlated by Cholesky's factor.

    References
    ----------
    .. [1] M. D. McKay, R. J. Beckman and W. J. Conover, "A comparison of three methods for
       selecting values of input variables in the analysis of output from a computer code",
       Technometrics 21(2), 1979, pp. 239-245.
    """
    from scipy.special import ndtri

    p = mean.shape[1]
    shuffled = np.random.default_rng(_BASE_SEED).permuted(np.tile(np.arange(count), (p, 1)), axis=1)
    base = shuffled.T / count
    shifts = np.array([_shift(name, p, seed) for name in ids]).reshape(-1, 1, p)
    uniform = np.clip((base + shifts) % 1.0, 1e-6, 1 - 1e-6)
    nudge = 1e-12 * np.eye(p)
    factor = np.linalg.cholesky(covariance + nudge)
    return np.asarray(mean[:, None, :] + ndtri(uniform) @ np.swapaxes(factor, 1, 2))


def resampled(states: Array, log_weight: Array, *, count: int, order: Array) -> Array:
    """Return the weighted mean and then equally likely draws.

    Parameters
    ----------
    states : ndarray, shape (n, k, p)
        Draws of the logarithms of the unknowns [-].
    log_weight : ndarray, shape (n, k)
        Natural logarithm of each draw's weight, up to a constant [-].
    count : int
        Draws wanted.
    order : ndarray, shape (n, k)
        Sorts the draws before every so many-th is taken, so that few draws still spread
        evenly along it.

    Returns
    -------
    ndarray, shape (n, 1 + count, p)
        The weighted mean first [-].

    References
    ----------
    .. [1] R. Douc, O. Cappé and E. Moulines, "Comparison of resampling schemes for particle
       filtering", Proceedings of ISPA, 2005, pp. 64-69 (systematic resampling).
    """
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    weight /= weight.sum(axis=1, keepdims=True)
    centre = np.einsum("nk,nkp->np", weight, states)
    ranked = np.argsort(order, axis=1)
    steps = np.cumsum(np.take_along_axis(weight, ranked, axis=1), axis=1)
    wanted = (np.arange(count) + 0.5) / max(count, 1)
    found = (steps[:, None, :] < wanted[None, :, None]).sum(axis=2)
    found = np.minimum(found, states.shape[1] - 1)
    picked = np.take_along_axis(ranked, found, axis=1)
    draws = np.take_along_axis(states, picked[:, :, None], axis=1)
    return np.concatenate((centre[:, None, :], draws), axis=1)


def _shift(name: str, count: int, seed: int) -> Array:
    digest = hashlib.shake_128(f"{seed}:{name}".encode()).digest(8 * count)
    return np.frombuffer(digest, dtype="<u8") / 2.0**64
