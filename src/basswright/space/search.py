"""Exact search over the choices of a clear direction for each keep-out.

Depth first: solve the linear programme, take the keep-out that its answer violates most,
and branch on the directions in which the box could be clear of it, the least violated
first. A branch goes on from its parent's active rows and is dropped as soon as its
bound is no better than what was found.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints
from basswright.space.linear import EMPTY, EPS, resume, start


@njit(cache=True, nogil=True)
def best_choice(
    M: Floats, r: Floats, base: int, choices: tuple[Floats, Ints], c: Floats, floor: float
) -> tuple[float, Floats, Floats, Ints]:
    """Maximise ``c.x`` over the base rows and one alternative row per keep-out.

    Parameters
    ----------
    M, r : ndarray, shape (N, n) and (N,)
        Rows; the first `base` are filled, bounds first; the rest is room for one more
        per keep-out.
    choices : tuple of ndarray
        Alternative rows ``a.x <= a[n]`` of all keep-outs, shape (a, n + 1), and where
        those of each keep-out begin, shape (k + 1,).
    floor : float
        Answers no better than this are not wanted.

    Returns
    -------
    value : float
        -inf where there is no answer better than `floor`.
    x, multipliers : ndarray, shape (n,)
    rows : ndarray of int, shape (n,)
        Active rows: below `base` a base row, else ``base + alternative``.
    """
    alternatives, first = choices
    n, count = c.size, first.size - 1
    best = floor
    x_best, y_best = np.zeros(n), np.zeros(n)
    rows_best = np.full(n, -1, np.int64)
    found = False
    active = np.empty((count + 1, n), np.int64)
    inverse = np.empty((count + 1, n, n))
    xy = np.empty((count + 1, 2, n))
    order = np.empty((count + 1, max(alternatives.shape[0], 1)), np.int64)
    options = np.zeros(count + 1, np.int64)
    pointer = np.zeros(count + 1, np.int64)
    picked = np.empty(count + 1, np.int64)
    start(c, r, active[0], inverse[0], xy[0, 0], xy[0, 1])
    level = 0
    status = resume(M, r, base, active[0], inverse[0], xy[0])
    while level >= 0:
        x = xy[level, 0]
        value = 0.0
        for j in range(n):
            value += c[j] * x[j]
        options[level] = 0
        pointer[level] = 0
        if status != EMPTY and value > best + EPS:
            keep_out = _most_violated(alternatives, first, x)
            if keep_out < 0:
                best, found = value, True
                x_best[:], y_best[:] = x, xy[level, 1]
                for j in range(n):
                    row = active[level, j]
                    rows_best[j] = row if row < base else base + picked[row - base]
            else:
                options[level] = _by_violation(
                    alternatives, first[keep_out], first[keep_out + 1], x, order[level]
                )
        while level >= 0 and pointer[level] >= options[level]:
            level -= 1
        if level >= 0:
            choice = order[level, pointer[level]]
            pointer[level] += 1
            picked[level] = choice
            M[base + level] = alternatives[choice, :n]
            r[base + level] = alternatives[choice, n]
            active[level + 1], inverse[level + 1] = active[level], inverse[level]
            xy[level + 1] = xy[level]
            level += 1
            status = resume(M, r, base + level, active[level], inverse[level], xy[level])
    return (best if found else -np.inf), x_best, y_best, rows_best


@njit(cache=True, nogil=True)
def _over(row: Floats, x: Floats) -> float:
    over = -row[x.size]
    for j in range(x.size):
        over += row[j] * x[j]
    return float(over)


@njit(cache=True, nogil=True)
def _most_violated(alternatives: Floats, first: Ints, x: Floats) -> int:
    worst, at = EPS, -1
    for k in range(first.size - 1):
        least = np.inf
        for a in range(first[k], first[k + 1]):
            over = _over(alternatives[a], x)
            if over < least:
                least = over
        if least > worst:
            worst, at = least, k
    return at


@njit(cache=True, nogil=True)
def _by_violation(alternatives: Floats, low: int, high: int, x: Floats, order: Ints) -> int:
    count = high - low
    over = np.empty(count)
    for a in range(count):
        over[a] = _over(alternatives[low + a], x)
    ranks = np.argsort(over)
    for a in range(count):
        order[a] = low + ranks[a]
    return count
