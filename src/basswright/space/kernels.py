"""Compiled questions to the cells of a load space."""

from __future__ import annotations

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.compiled import compiled, inner
from basswright.space.solids import LEAST_SIDE_M

_BLOCK = 256
_NEAR = 1e-9  # a facet counts as touched within this [m]
_NO_SAY = 1e12  # reach per metre of slack along an axis that a facet does not limit
_TOGETHER = 3


@inner
def _reach(grow: Floats, f: int, axis: int) -> float:
    """Return how far an axis, or all at once, goes per metre of slack."""
    g = grow[f, 0] + grow[f, 1] + grow[f, 2] if axis == _TOGETHER else grow[f, axis]
    return 1.0 / g if g > 1e-9 else _NO_SAY


def room(
    size: Floats, grow: Floats, limit: Floats, first: Ints, *, least_m: float = LEAST_SIDE_M
) -> Floats:
    """Return the room left along each axis, and along all three at once.

    Parameters
    ----------
    size : ndarray, shape (3, q)
        Sizes of upright cuboids [m], as the car has its axes.
    grow, limit, first : ndarray
        See :class:`basswright.space.cells.Cells`.
    least_m : float
        No side may shrink below this; -inf for bounds that hold whatever is left.

    Returns
    -------
    ndarray, shape (4, q)
        How far the size could grow along x, y, z, and along all three by the same
        amount [m]; negative where it has to shrink; -inf where that would not help. The
        last is worked out where `least_m` is -inf or no single size helps near by.
    """
    return _room(size, (grow, limit, first), least_m)


@compiled
def _room(size: Floats, cells: tuple[Floats, Floats, Ints], least_m: float) -> Floats:
    count = size.shape[1]
    best = np.full((4, count), -np.inf)
    here = np.empty((4, _BLOCK))
    slack = np.empty(_BLOCK)
    for start in range(0, count, _BLOCK):
        width = min(_BLOCK, count - start)
        for part in range(2):  # along each axis, then along all at once where wanted
            wanted = part == 0 or least_m == -np.inf
            for q in range(start, start + width):
                wanted = wanted or max(best[0, q], best[1, q], best[2, q]) == -np.inf
            if wanted:
                axes = (3 * part, 3 + part, least_m)
                _rooms(size, (start, width), cells, axes, (best, here, slack))
    return best


@inner
def _rooms(
    size: Floats,
    block: tuple[int, int],
    cells: tuple[Floats, Floats, Ints],
    axes: tuple[int, int, float],
    work: tuple[Floats, Floats, Floats],
) -> None:
    start, width = block
    grow, limit, first = cells
    best, here, slack = work
    for cell in range(first.size - 1):
        for axis in range(axes[0], axes[1]):
            for q in range(width):
                here[axis, q] = np.inf
        for f in range(first[cell], first[cell + 1]):
            g0, g1, g2, right = grow[f, 0], grow[f, 1], grow[f, 2], limit[f] + _NEAR
            for q in range(width):
                at = start + q
                slack[q] = right - g0 * size[0, at] - g1 * size[1, at] - g2 * size[2, at]
            for axis in range(axes[0], axes[1]):
                per = _reach(grow, f, axis)
                for q in range(width):
                    value = slack[q] * per
                    here[axis, q] = value if value < here[axis, q] else here[axis, q]
        for axis in range(axes[0], axes[1]):
            for q in range(width):
                at = start + q
                side = size[axis % 3, at]
                if axis == _TOGETHER:
                    side = min(side, size[1, at], size[2, at])
                least = axes[2] - side
                least = least if least < 0.0 else 0.0
                value = here[axis, q] if here[axis, q] >= least else -np.inf
                best[axis, at] = value if value > best[axis, at] else best[axis, at]


@compiled
def facet_at(
    size: Floats, axis: Ints, value: Floats, grow: Floats, limit: Floats, first: Ints
) -> Ints:
    """Return which facet gives the room found along an axis, -1 where none does.

    Parameters
    ----------
    size : ndarray, shape (3, n)
    axis : ndarray of int, shape (n,)
    value : ndarray, shape (n,)
        From :func:`room`.
    """
    found = np.empty(axis.size, np.int64)
    for n in range(axis.size):
        found[n] = -1
        for cell in range(first.size - 1):
            least, at = np.inf, -1
            for f in range(first[cell], first[cell + 1]):
                slack = limit[f] + _NEAR
                for k in range(3):
                    slack -= grow[f, k] * size[k, n]
                reach = slack * _reach(grow, f, axis[n])
                if reach < least:
                    least, at = reach, f
            if least >= value[n] - 1e-12 and value[n] > -np.inf:
                found[n] = at
                break
    return found
