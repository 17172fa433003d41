"""Exact search over the choices of a clear direction for each keep-out.

Depth first: solve the linear programme, take the keep-out that its answer violates most,
and branch on the directions in which the box could be clear of it, the least violated
first. A branch goes on from its parent's active rows and is dropped as soon as its
bound is no better than what was found.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.compiled import compiled, inner
from basswright.space.linear import EMPTY, EPS, resume, start


class Work(NamedTuple):
    """Room for a search, used again by the next: one level a keep-out, and one more.

    Attributes
    ----------
    active, inverse, xy : ndarray, shape (l, n), (l, n, n) and (l, 3, n)
        States of :func:`basswright.space.linear.resume`.
    order : ndarray of int, shape (l, a)
        Alternatives of the keep-out branched on, the least violated first.
    over : ndarray, shape (a,)
        By how much each of them is violated.
    worth : ndarray, shape (l,)
        Value of each level's corner.
    stack : ndarray of int, shape (3, l)
        Number of alternatives, the next of them, the one picked.
    x, y : ndarray, shape (n,)
        Best corner so far, and its multipliers.
    rows : ndarray of int, shape (n,)
        Its active rows.
    """

    active: Ints
    inverse: Floats
    xy: Floats
    order: Ints
    over: Floats
    worth: Floats
    stack: Ints
    x: Floats
    y: Floats
    rows: Ints


@compiled
def work_for(unknowns: int, keep_outs: int, alternatives: int) -> Work:
    """Return room for searches of this size or a smaller one."""
    levels, most = keep_outs + 1, max(alternatives, 1)
    return Work(
        np.empty((levels, unknowns), np.int64),
        np.empty((levels, unknowns, unknowns)),
        np.empty((levels, 3, unknowns)),
        np.empty((levels, most), np.int64),
        np.empty(most),
        np.empty(levels),
        np.empty((3, levels), np.int64),
        np.empty(unknowns),
        np.empty(unknowns),
        np.empty(unknowns, np.int64),
    )


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
    work = work_for(c.size, first.size - 1, alternatives.shape[0])
    value = search(M, r, base, choices, c, (floor, np.inf), work)
    return value, work.x, work.y, work.rows


@compiled
def search(
    M: Floats,
    r: Floats,
    base: int,
    choices: tuple[Floats, Ints],
    c: Floats,
    span: tuple[float, float],
    work: Work,
) -> float:
    """Do what :func:`best_choice` says; corner, multipliers and rows are left in `work`.

    Parameters
    ----------
    span : tuple of float
        Answers no better than the first are not wanted, none better than the second
        is looked for.
    """
    alternatives, first = choices
    n = c.size
    best, found = span[0], False
    active, inverse, xy, stack = work.active, work.inverse, work.xy, work.stack
    worth = work.worth
    for j in range(n):
        work.x[j], work.y[j], work.rows[j] = 0.0, 0.0, -1
    start(c, r, active, inverse, xy)
    state, level, excess = (active, inverse, xy), 0, np.inf
    while level >= 0 and best < span[1]:
        status = resume(M, r, base + level, state, level, excess)
        value = 0.0
        for j in range(n):
            value += c[j] * xy[level, 0, j]
        stack[0, level] = 0
        stack[1, level] = 0
        worth[level] = value
        if status != EMPTY and value > best + EPS:
            keep_out = _most_violated(alternatives, first, xy, level)
            if keep_out < 0:
                best, found = value, True
                for j in range(n):
                    work.x[j], work.y[j] = xy[level, 0, j], xy[level, 1, j]
                    row = active[level, j]
                    work.rows[j] = row if row < base else base + stack[2, row - base]
            else:
                low, high = first[keep_out], first[keep_out + 1]
                stack[0, level] = high - low
                _by_violation(alternatives, low, high, work, level)
        while level >= 0 and stack[1, level] >= stack[0, level]:
            level -= 1
        if level >= 0:
            choice = work.order[level, stack[1, level]]
            stack[1, level] += 1
            stack[2, level] = choice
            for j in range(n):
                M[base + level, j] = alternatives[choice, j]
                active[level + 1, j] = active[level, j]
                for k in range(n):
                    inverse[level + 1, j, k] = inverse[level, j, k]
                for k in range(2):
                    xy[level + 1, k, j] = xy[level, k, j]
            r[base + level] = alternatives[choice, n]
            excess = worth[level] - best
            level += 1
    return best if found else -np.inf


@inner
def _most_violated(alternatives: Floats, first: Ints, xy: Floats, level: int) -> int:
    worst, at = EPS, -1
    n = xy.shape[2]
    for k in range(first.size - 1):
        least = np.inf
        for a in range(first[k], first[k + 1]):
            over = -alternatives[a, n]
            for j in range(n):
                over += alternatives[a, j] * xy[level, 0, j]
            if over < least:
                least = over
                if least <= worst:
                    break
        if least > worst:
            worst, at = least, k
    return at


@inner
def _by_violation(alternatives: Floats, low: int, high: int, work: Work, level: int) -> None:
    n = work.x.size
    for a in range(low, high):
        over = -alternatives[a, n]
        for j in range(n):
            over += alternatives[a, j] * work.xy[level, 0, j]
        at = a - low
        while at > 0 and work.over[at - 1] > over:
            work.over[at] = work.over[at - 1]
            work.order[level, at] = work.order[level, at - 1]
            at -= 1
        work.over[at] = over
        work.order[level, at] = a
