"""Which systems no other beats in every goal, and the corners among them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numba import njit
from numpy.typing import NDArray

from basswright.choose.systems import Systems

Floats = NDArray[np.float64]

#: Figures that differ by less count as equal: dB, ln Hz, m3, money, h.
ROUNDING = (1e-6, 1e-6, 1e-7, 1e-6, 1e-6)


Column = Callable[[Systems, NDArray[np.intp]], Floats]

#: The corner points: name -> the goal that is lowest there, in the order of ROUNDING.
_COLUMNS: dict[str, Column] = {
    "loudest": lambda systems, rows: -systems.pairs.sure_level_db[rows],
    "lowest": lambda systems, rows: np.log(systems.pairs.sure_low_limit_hz[rows]),
    "most luggage left": lambda systems, rows: -systems.luggage_left_m3(rows),
    "cheapest": lambda systems, rows: systems.price[rows],
    "easiest to fit": lambda systems, rows: systems.hours(rows),
}


def goals_to_lower(systems: Systems, rows: NDArray[np.intp]) -> Floats:
    """Return the goals of some systems so that smaller is better, shape (rows, 5)."""
    goals = np.column_stack([column(systems, rows) for column in _COLUMNS.values()])
    rounded: Floats = np.round(goals / ROUNDING) * ROUNDING
    return rounded


def front(goals: Floats) -> NDArray[np.intp]:
    """Return the rows that no other row equals or beats in everything.

    Parameters
    ----------
    goals : ndarray, shape (p, g)
        Smaller is better. Of equal rows all are kept.

    Returns
    -------
    ndarray of int
        Rows, in the order of `goals`.
    """
    order = np.lexsort(goals.T[::-1])
    kept = _front(np.ascontiguousarray(goals[order]))
    return np.sort(order[kept])


@njit(cache=True, nogil=True)
def _front(goals: Floats) -> NDArray[np.bool_]:
    count, columns = goals.shape
    kept = np.zeros(count, dtype=np.bool_)
    members = np.empty(count, dtype=np.intp)
    size = 0
    for row in range(count):
        beaten = False
        for place in range(size):
            member = members[place]
            no_worse, better = True, False
            for column in range(columns):
                if goals[member, column] > goals[row, column]:
                    no_worse = False
                    break
                if goals[member, column] < goals[row, column]:
                    better = True
            if no_worse and better:
                beaten = True
                # what beats one row is likely to beat the next: look at it first
                if place > 0:
                    members[place], members[place // 2] = members[place // 2], members[place]
                break
        if not beaten:
            kept[row] = True
            members[size] = row
            size += 1
    return kept


def corners(systems: Systems, rows: NDArray[np.intp]) -> dict[str, int]:
    """Return the named corner points among some rows: name -> row.

    Ties go to the higher score.
    """
    if rows.size == 0:
        return {}
    found = {}
    for (name, column), step in zip(_COLUMNS.items(), ROUNDING, strict=True):
        goal = column(systems, rows)
        near = np.flatnonzero(goal <= goal.min() + 2 * step)
        rounded = np.round(goal[near] / step)
        near = near[rounded == rounded.min()]
        found[name] = int(rows[near[np.argmax(systems.score[rows[near]])]])
    return found
