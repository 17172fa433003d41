"""What a rule leaves out and what a change lets in, on small worlds with known answers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright.choose import concessions, reasons
from basswright.choose.goals import GRID_HZ
from basswright.choose.rules import INDEX
from basswright.choose.search import Pairs
from basswright.choose.systems import Boxes, Systems, judge
from basswright.records.system import Goals
from basswright.records.wish import Wish
from tests.choose import worlds

WISH = Wish(level_db=110.0, low_limit_hz=30.0, budget=1000.0)


def _systems(*, level_db: list[float], low_hz: list[float], cost: list[float]) -> Systems:
    """One box, and one more that no amplifier may drive; one feed for each level."""
    count = len(level_db)
    boxes = Boxes(
        price=np.array([100.0, 100.0]),
        hours=np.zeros(2),
        luggage_left_m3=np.array([0.3, 0.3]),
        luggage_space_m3=0.4,
        margins={
            name: np.zeros(2)
            for name in ("box kind", "built-in amplifier", "space", "opening", "luggage")
        },
    )
    some = worlds.random_feeds(np.random.default_rng(1), classes=1, most=10)
    rows = np.zeros(count, dtype=np.intp)
    feeds = replace(
        some.take(rows, np.array([0, count])),
        cost=np.array(cost),
        hours=np.zeros(count),
        match_margin_db=np.zeros(count),
        supply_margin_a=np.ones(count),
    )
    pairs = Pairs(
        box=np.zeros(count, dtype=np.intp),
        feed=np.arange(count),
        level_db=np.array(level_db),
        sure_level_db=np.array(level_db),
        low_limit_hz=np.array(low_hz),
        sure_low_limit_hz=np.array(low_hz),
    )
    return judge(boxes, feeds, pairs, wish=WISH, hourly_rate=0.0, tax_share=0.0)


def test_a_box_that_no_amplifier_may_drive_is_counted() -> None:
    """It makes no system, so it would otherwise vanish from the counts without a word."""
    found = concessions.counts(_systems(level_db=[112.0], low_hz=[25.0], cost=[100.0]))
    match = found[INDEX["power match"]]
    assert (match.alone, match.in_all) == (1, 1)
    assert sum(count.in_all for count in found) == 1


def test_a_box_that_is_in_already_is_not_admitted_again() -> None:
    """A dearer amplifier for a box that is in admits no further box."""
    systems = _systems(level_db=[110.0, 121.0], low_hz=[25.0, 16.0], cost=[100.0, 950.0])
    change = next(c for c in concessions.single(systems, 0.0, {}) if c.rules == (INDEX["budget"],))
    assert change.amounts == (50.0,)
    assert change.admits == 0


@pytest.mark.parametrize(
    ("field", "value", "rule"),
    [("supply_margin_a", -1e4, "supply"), ("match_margin_db", -3.0, "power match")],
)
def test_what_nobody_can_give_way_on_is_no_concession(field: str, value: float, rule: str) -> None:
    """No supply at all, or no amplifier that suits: there is no "so much more" to tell."""
    systems = _systems(level_db=[112.0], low_hz=[25.0], cost=[100.0])
    refused = replace(systems.feeds, **{field: np.array([value])})
    systems = judge(
        systems.boxes, refused, systems.pairs, wish=WISH, hourly_rate=0.0, tax_share=0.0
    )
    assert systems.mask.tolist() == [1 << INDEX[rule]]
    assert concessions.single(systems, -np.inf, {}) == ()
    assert concessions.pairs(systems, -np.inf, steps=[1.0] * 10) == ()


def test_a_level_that_is_held_nowhere_is_told_as_such() -> None:
    """The top of the grid is no low limit, and raising the wish to it is no concession."""
    nowhere = float(GRID_HZ[GRID_HZ <= 80.0][-1])
    systems = _systems(level_db=[112.0], low_hz=[nowhere], cost=[100.0])
    assert concessions.single(systems, -np.inf, {}) == ()
    goals = Goals(
        level_db=112.0,
        sure_level_db=112.0,
        low_limit_hz=nowhere,
        sure_low_limit_hz=nowhere,
        luggage_left_m3=0.3,
        price=200.0,
        headroom_db=2.0,
        ease=0.0,
    )
    assert "not surely held" in reasons.depth(goals, WISH, 15.8)
