"""The order of the list and its corners, against plain sorting of every pair."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from basswright.choose.feeds import Feeds
from basswright.choose.ranking import rank, shortfall
from basswright.choose.rules import RULES
from basswright.choose.search import evaluate
from basswright.choose.systems import Systems, judge
from tests.choose import worlds

#: Worlds in which something meets the wish.
SEEDS = (0, 1, 2, 3, 4, 5, 7)
#: One step of falling short, by unit of the rule; money: a tenth of the budget.
STEPS = {"mm": 10.0, "L": 20.0, "dB": 1.0, "Hz": 3.0, "A": 20.0, "": 1.0}


def _systems(seed: int, *, budget: float) -> Systems:
    rng = np.random.default_rng(seed)
    feeds: Feeds = worlds.random_feeds(rng, classes=4, most=25)
    levels, boxes = worlds.random_levels(rng, 90, 9), worlds.random_boxes(rng, 90)
    wish = worlds.random_wish(rng).model_copy(update={"budget": budget})
    pairs = evaluate(
        levels,
        rng.integers(0, 4, 90),
        feeds,
        wished_db=wish.level_db,
        certainty_share=wish.certainty_share,
    )
    systems = judge(boxes, feeds, pairs, wish=wish, hourly_rate=60, tax_share=0.2)
    # coarse scores, so that many rows tie
    return dataclasses.replace(systems, score=np.round(systems.score / 5) * 5)


@pytest.mark.parametrize("most", [1, 3, 12, 500])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_best_rows_are_those_of_sorting_everything(seed: int, most: int) -> None:
    """Best score first, the earlier row on a tie, and each box once."""
    systems = _systems(seed, budget=2000.0)
    passing = [row for row in range(systems.mask.size) if systems.mask[row] == 0]
    assert passing
    expected: list[int] = []
    boxes: set[int] = set()
    for row in sorted(passing, key=lambda row: (-systems.score[row], row)):
        if systems.pairs.box[row] not in boxes:
            boxes.add(systems.pairs.box[row])
            expected.append(row)
    found = rank(systems, most=most, budget=2000.0)
    assert found.wish_met
    assert found.rows[: len(expected[:most])].tolist() == expected[:most]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_corner_is_the_least_of_all_and_the_better_score_on_a_tie(seed: int) -> None:
    """Cheapest and easiest go to the lowest figure; equal figures to the higher score."""
    systems = _systems(seed, budget=2000.0)
    passing = np.flatnonzero(systems.mask == 0)
    named = {
        name: row for row, names in rank(systems, most=3, budget=1).named.items() for name in names
    }
    for name, figures in (
        ("cheapest", systems.price),
        ("easiest to fit", systems.hours(np.arange(systems.mask.size))),
        ("loudest", -systems.pairs.sure_level_db),
    ):
        least = min(float(figures[row]) for row in passing)
        ties = [row for row in passing.tolist() if figures[row] <= least + 1e-7]
        best = max(systems.score[row] for row in ties)
        assert named[name] == next(row for row in ties if systems.score[row] == best)


@pytest.mark.parametrize("seed", SEEDS)
def test_falling_short_counts_every_rule_in_its_own_step(seed: int) -> None:
    """The sum over every rule's margin, rule by rule, for every pair."""
    systems = _systems(seed, budget=700.0)
    rows = np.arange(systems.mask.size)
    margins = systems.margins(rows)
    expected = -1e-3 * systems.score
    for column, rule in enumerate(RULES):
        step = 70.0 if rule.unit == "money" else STEPS[rule.unit]
        expected = expected + np.maximum(0.0, -margins[:, column]) / step
    np.testing.assert_allclose(shortfall(systems, rows, budget=700.0), expected, rtol=1e-12)


def test_where_nothing_meets_the_wish_the_nearest_come_first() -> None:
    """With no money at all, the order is that of falling short, must rules kept."""
    systems = _systems(3, budget=0.5)
    found = rank(systems, most=5, budget=700.0)
    assert not found.wish_met
    must = sum(1 << place for place, rule in enumerate(RULES) if rule.must)
    pool = np.flatnonzero((systems.mask & np.uint32(must)) == 0)
    short = shortfall(systems, pool, budget=700.0)
    assert found.rows[0] == pool[short.argmin()]
    assert np.all(np.diff(shortfall(systems, found.rows, budget=700.0)) >= 0)
