"""The search against general libraries: HiGHS for budgeted choices, paretoset for fronts."""

from __future__ import annotations

import numpy as np
import paretoset
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from basswright.choose.feeds import undominated
from basswright.choose.pareto import front, goals_to_lower
from basswright.choose.search import evaluate
from basswright.choose.systems import Systems, judge
from tests.choose import worlds


def _systems(seed: int, *, prune: bool) -> tuple[Systems, np.ndarray, np.ndarray]:
    """A random world; also price of each box and cost of each feed, tax included."""
    rng = np.random.default_rng(seed)
    feeds = worlds.random_feeds(rng, classes=3, most=10)
    box_class = rng.integers(0, 3, 12)
    levels, boxes = worlds.random_levels(rng, 12, 7), worlds.random_boxes(rng, 12)
    wish = worlds.random_wish(rng)
    used = undominated(feeds) if prune else feeds
    pairs = evaluate(
        levels, box_class, used, wished_db=wish.level_db, certainty_share=wish.certainty_share
    )
    systems = judge(boxes, used, pairs, wish=wish, hourly_rate=60, tax_share=0.2)
    return systems, (boxes.price + boxes.hours * 60) * 1.2, used.cost * 1.2


@pytest.mark.parametrize("seed", range(8))
def test_the_best_within_a_budget_equals_the_integer_programme(seed: int) -> None:
    """One box, one amplifier, the pair only if both: HiGHS with zero gap finds our best.

    Solver: Huangfu and Hall, "Parallelizing the dual revised simplex method",
    Mathematical Programming Computation 10 (2018), as shipped with scipy.
    """
    brute, box_price, feed_cost = _systems(seed, prune=False)
    fast, _, _ = _systems(seed, prune=True)
    margins = brute.margins(np.arange(brute.mask.size))
    budget_rule = 7
    budget = float((margins[:, budget_rule] + brute.price)[0])
    margins[:, budget_rule] = 0.0
    open_pairs = np.flatnonzero((margins >= -1e-9).all(axis=1))
    ours = fast.score[fast.mask == 0]
    if open_pairs.size == 0:
        assert ours.size == 0
        return
    box, feed = brute.pairs.box[open_pairs], brute.pairs.feed[open_pairs]
    n, m, k = box_price.size, feed_cost.size, open_pairs.size
    gain = np.concatenate([np.zeros(n + m), brute.score[open_pairs]])
    rows, low, high = [], [], []
    for place in range(k):
        for start, which in ((0, box[place]), (n, feed[place])):
            row = np.zeros(n + m + k)
            row[start + which], row[n + m + place] = 1, -1
            rows.append(row)
            low.append(0.0)
            high.append(np.inf)
    for chosen in (slice(0, n), slice(n, n + m), slice(n + m, None)):
        row = np.zeros(n + m + k)
        row[chosen] = 1
        rows.append(row)
        low.append(1.0)
        high.append(1.0)
    rows.append(np.concatenate([box_price, feed_cost, np.zeros(k)]))
    low.append(-np.inf)
    high.append(budget)
    found = milp(
        -gain,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(n + m + k),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    if ours.size == 0:
        assert not found.success
    else:
        assert -found.fun == pytest.approx(ours.max(), abs=1e-7)


@pytest.mark.parametrize("seed", range(6))
def test_the_front_equals_that_of_a_general_library(seed: int) -> None:
    """The same rows as paretoset, on the goals of a random world."""
    systems, _, _ = _systems(seed, prune=False)
    goals = goals_to_lower(systems, np.arange(systems.mask.size))
    theirs = np.flatnonzero(paretoset.paretoset(goals, sense=["min"] * 5, distinct=False))
    assert front(goals).tolist() == theirs.tolist()
