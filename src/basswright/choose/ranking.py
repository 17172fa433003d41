"""Which systems are shown, in which order, and which of them are really equal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from basswright.choose import pareto
from basswright.choose.rules import RULES
from basswright.choose.systems import Systems

#: Two options are told apart when the order is right at least this often.
TOLD_APART_SHARE = 0.8
#: One step of falling short, by rule unit, when nothing meets every wish.
_STEP = {"mm": 10.0, "L": 20.0, "dB": 1.0, "Hz": 3.0, "A": 20.0, "": 1.0}


@dataclass(frozen=True, kw_only=True)
class Ranking:
    """Rows of the systems to show, best first.

    Attributes
    ----------
    rows : ndarray of int, shape (k,)
    wish_met : bool
        False: nothing meets every wish, the rows come nearest.
    named : dict of int to tuple of str
        Row -> corner points that it holds.
    """

    rows: NDArray[np.intp]
    wish_met: bool
    named: dict[int, tuple[str, ...]]


def rank(systems: Systems, *, most: int, budget: float) -> Ranking:
    """Return the best systems in order, one a box, and the named corners.

    Parameters
    ----------
    systems : Systems
    most : int
        How many to show; corner points may come on top.
    budget : float
        Scale of falling short in price [money].
    """
    passing = np.flatnonzero(systems.mask == 0)
    wish_met = passing.size > 0
    if wish_met:
        pool, order_by = passing, -systems.score[passing]
    else:
        must = sum(1 << place for place, rule in enumerate(RULES) if rule.must)
        pool = np.flatnonzero((systems.mask & np.uint32(must)) == 0)
        order_by = shortfall(systems, pool, budget=budget)
    rows = _best_boxes(systems, pool, order_by, most)
    corners = pareto.corners(systems, pool) if wish_met else {}
    named: dict[int, list[str]] = {}
    for name, row in corners.items():
        named.setdefault(row, []).append(name)
    extra = [row for row in named if row not in set(rows.tolist())]
    rows = np.concatenate([rows, np.array(extra, dtype=np.intp)]).astype(np.intp)
    return Ranking(
        rows=rows,
        wish_met=wish_met,
        named={row: tuple(names) for row, names in named.items()},
    )


def shortfall(systems: Systems, rows: NDArray[np.intp], *, budget: float) -> NDArray[np.float64]:
    """Return how far rows fall short of the wishes, in steps of a person's size."""
    steps = [0.1 * budget if rule.unit == "money" else _STEP[rule.unit] for rule in RULES]
    step = dict(zip((rule.name for rule in RULES), steps, strict=True))
    pairs, feeds, wish = systems.pairs, systems.feeds, systems.wish
    of_box = sum(
        np.maximum(0.0, -margin) / step[name] for name, margin in systems.boxes.margins.items()
    )
    of_feed = np.maximum(0.0, -feeds.match_margin_db) / step["power match"]
    of_feed += np.maximum(0.0, -feeds.supply_margin_a) / step["supply"]
    total: NDArray[np.float64] = np.asarray(of_box)[pairs.box[rows]] + of_feed[pairs.feed[rows]]
    for name, over in (
        ("budget", systems.price[rows] - wish.budget),
        ("loud enough", wish.level_db - pairs.sure_level_db[rows]),
        ("low enough", pairs.sure_low_limit_hz[rows] - wish.low_limit_hz),
    ):
        total += np.maximum(0.0, over) / step[name]
    return total - 1e-3 * systems.score[rows]


def _best_boxes(
    systems: Systems, pool: NDArray[np.intp], order_by: NDArray[np.float64], most: int
) -> NDArray[np.intp]:
    """Return the first row of each of the best boxes; ties go to the earlier row.

    Only as many rows are put in order as it takes to meet so many boxes.
    """
    looked_at = 16 * most
    while True:
        ahead = np.arange(pool.size)
        if looked_at < pool.size:
            last = np.partition(order_by, looked_at)[looked_at]
            ahead = np.flatnonzero(order_by <= last)
        best_first = pool[ahead[np.lexsort((pool[ahead], order_by[ahead]))]]
        rows = _one_a_box(systems, best_first)[:most]
        if rows.size == most or ahead.size == pool.size:
            return rows
        looked_at *= 8


def _one_a_box(systems: Systems, best_first: NDArray[np.intp]) -> NDArray[np.intp]:
    box = systems.pairs.box[best_first]
    _, first = np.unique(box, return_index=True)
    return best_first[np.sort(first)]


def equals(scores: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which systems the uncertainty cannot tell apart.

    Parameters
    ----------
    scores : ndarray, shape (k, d)
        Score of each system in each draw; the draws are common to all.

    Returns
    -------
    ndarray of bool, shape (k, k)
        True where the order of the means is right in fewer than
        :data:`TOLD_APART_SHARE` of cases; never on the diagonal.
    """
    apart = scores[:, None, :] - scores[None, :, :]
    mean, spread = np.abs(apart.mean(axis=-1)), apart.std(axis=-1)
    right = np.where(spread > 1e-9, ndtr(mean / np.maximum(spread, 1e-9)), mean > 1e-9)
    equal: NDArray[np.bool_] = (right < TOLD_APART_SHARE) & ~np.eye(len(scores), dtype=bool)
    return equal
