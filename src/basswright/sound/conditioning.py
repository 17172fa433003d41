"""What is believed of the unknowns once the published figures are known.

The prior and every figure that is a product of powers are normal in logarithms, so
that conditioning on them is exact (R. E. Kalman, *Journal of Basic Engineering* 82,
1960, one scalar figure at a time). What is left, the low limit and what makers aim at,
weighs draws from that belief (importance sampling, then systematic resampling;
Douc, Cappe and Moulines 2005).
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
    """Return mean (n, p) and covariance (n, p, p) given all the figures."""
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
    """Return draws of the unknowns, shape (n, count, p).

    A Latin hypercube (McKay, Beckman and Conover 1979), shifted for each box by a hash
    of its id, so that a box draws the same whatever else is in the list.
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
    """Return the weighted mean and then `count` equally likely draws, (n, 1 + count, p).

    `order`, shape (n, proposals), sorts the draws before every k-th is taken, so that
    few draws still spread evenly along it.
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
