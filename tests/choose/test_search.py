"""The search gives what plain loops over every pair give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright.choose import goals
from basswright.choose.feeds import Feeds, undominated
from basswright.choose.pareto import front, goals_to_lower
from basswright.choose.search import Pairs, evaluate
from basswright.choose.systems import Systems, judge
from tests.choose import worlds

SEEDS = range(12)


def _world(seed: int) -> tuple[np.random.Generator, np.ndarray, Feeds]:
    rng = np.random.default_rng(seed)
    feeds = worlds.random_feeds(rng, classes=4, most=25)
    return rng, rng.integers(0, 4, 30), feeds


def _systems(seed: int, *, prune: bool) -> tuple[Systems, Feeds]:
    rng, box_class, feeds = _world(seed)
    levels, boxes, wish = (
        worlds.random_levels(rng, 30, 9),
        worlds.random_boxes(rng, 30),
        worlds.random_wish(rng),
    )
    used = undominated(feeds) if prune else feeds
    pairs = evaluate(
        levels, box_class, used, wished_db=wish.level_db, certainty_share=wish.certainty_share
    )
    return judge(boxes, used, pairs, wish=wish, hourly_rate=60, tax_share=0.2), used


@pytest.mark.parametrize("seed", SEEDS)
def test_figures_of_every_pair_equal_plain_loops(seed: int) -> None:
    """Sure level and low limit of each pair agree with an independent loop.

    To 1e-5 dB and some millionths of the frequency: the search works in single precision.
    """
    rng, box_class, feeds = _world(seed)
    levels, wish = worlds.random_levels(rng, 30, 6), worlds.random_wish(rng)
    pairs: Pairs = evaluate(
        levels, box_class, feeds, wished_db=wish.level_db, certainty_share=wish.certainty_share
    )
    for row in rng.choice(pairs.box.size, 20):
        box, feed = int(pairs.box[row]), int(pairs.feed[row])
        level, limit = worlds.plain_figures(
            levels, box, float(feeds.voltage_v[feed]), float(feeds.current_a[feed]), wish
        )
        assert pairs.sure_level_db[row] == pytest.approx(level, abs=1e-5)
        assert pairs.sure_low_limit_hz[row] == pytest.approx(limit, rel=1e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_leaving_amplifiers_out_changes_no_answer(seed: int) -> None:
    """Best score, passing boxes, lone failures and the front equal those of brute force."""
    brute, _ = _systems(seed, prune=False)
    fast, _ = _systems(seed, prune=True)
    assert fast.pairs.box.size < brute.pairs.box.size
    for mask in np.unique(brute.mask):
        if np.bitwise_count(mask) > 1:
            continue
        of_brute, of_fast = brute.mask == mask, fast.mask == mask
        if mask == 0:
            assert set(brute.pairs.box[of_brute]) == set(fast.pairs.box[of_fast])
            assert brute.score[of_brute].max() == pytest.approx(fast.score[of_fast].max())
    passing_brute = np.unique(goals_to_lower(brute, np.flatnonzero(brute.mask == 0)), axis=0)
    passing_fast = np.unique(goals_to_lower(fast, np.flatnonzero(fast.mask == 0)), axis=0)
    np.testing.assert_allclose(
        np.unique(passing_brute[front(passing_brute)], axis=0),
        np.unique(passing_fast[front(passing_fast)], axis=0),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_lone_failures_survive_the_pruning(seed: int) -> None:
    """For each box and rule, "fails this rule only" is found with and without pruning.

    A system that fails only one rule may be replaced by one that fails none.
    """
    brute, _ = _systems(seed, prune=False)
    fast, _ = _systems(seed, prune=True)
    fast_found: dict[int, set[int]] = {}
    for box, mask in zip(fast.pairs.box, fast.mask, strict=True):
        fast_found.setdefault(int(box), set()).add(int(mask))
    for box, mask in zip(brute.pairs.box, brute.mask, strict=True):
        assert any((int(mask) & found) == found for found in fast_found[int(box)])


def test_front_equals_comparing_all_with_all() -> None:
    """The front equals the definition, on goals with many ties."""
    rng = np.random.default_rng(5)
    rows = rng.integers(0, 6, (300, 4)).astype(float)
    plain = [
        i
        for i, row in enumerate(rows)
        if not ((rows <= row).all(axis=1) & (rows < row).any(axis=1)).any()
    ]
    assert front(rows).tolist() == plain


def test_level_is_the_energy_mean_of_the_bands() -> None:
    """A flat level stays itself; 3.01 dB more power is 3.01 dB more level."""
    frequency = worlds.FREQUENCY_HZ
    flat = np.full((2, frequency.size), 110.0)
    flat[1] += 10 * np.log10(2)
    assert goals.level_db(flat, frequency) == pytest.approx([110.0, 113.0103], abs=1e-4)


def test_low_limit_lies_between_the_grid_points() -> None:
    """A straight slope of 24 dB an octave is 10 dB down near 2**(-10/24) of its corner.

    The mean over a third octave of such a slope is by integration 10 lg(sinh x / x), x
    half the band's width times the exponent: 0.6 dB above its middle. Sums and straight
    lines between grid points lie above that curve, together by 0.2 dB or 0.5 % of the limit.
    """
    frequency = worlds.FREQUENCY_HZ
    slope = 110 + np.minimum(0, 24 * np.log2(frequency / 40))
    n = 24 / (10 * np.log10(2))
    raised_db = 10 * np.log10(np.sinh(n * 0.05 * np.log(10)) / (n * 0.05 * np.log(10)))
    expected = 40 * 2 ** (-(10 + raised_db) / 24)
    assert goals.low_limit_hz(slope, frequency, 110.0) == pytest.approx(expected, rel=6e-3)
    assert goals.low_limit_hz(slope, frequency, 80.0) == frequency[0]
    assert goals.low_limit_hz(slope, frequency, 130.0) == pytest.approx(10**1.9)


def test_third_octaves_of_the_grid_are_four_steps_wide() -> None:
    """Forty points to a decade: a tenth of it is four steps, the outermost two half."""
    shares = goals.third_octaves(worlds.FREQUENCY_HZ)
    np.testing.assert_allclose(shares[:, 10], [0.125, 0.25, 0.25, 0.25, 0.125])
    np.testing.assert_allclose(shares[:, 0], [0, 0, 0.4, 0.4, 0.2])
    np.testing.assert_allclose(shares.sum(axis=0), 1.0)
    flat = np.full(worlds.FREQUENCY_HZ.size, 100.0)
    np.testing.assert_allclose(goals.third_octave_db(flat, worlds.FREQUENCY_HZ), 100.0)


def test_a_narrow_notch_at_80_hz_ends_no_walk() -> None:
    """One frequency that is 20 dB down is not heard as a hole; a whole octave is."""
    frequency = worlds.FREQUENCY_HZ
    level = 110 + np.minimum(0, 24 * np.log2(frequency / 40))
    notched = level.copy()
    notched[np.argmin(np.abs(frequency - 79.4))] -= 20
    plain = goals.low_limit_hz(level, frequency, 110.0)
    assert goals.low_limit_hz(notched, frequency, 110.0) == plain
    hole = level - 20 * (np.abs(np.log2(frequency / 60)) < 0.5)
    assert goals.low_limit_hz(hole, frequency, 110.0) > 70


@pytest.mark.parametrize("seed", range(6))
def test_current_that_no_box_draws_counts_for_nothing(seed: int) -> None:
    """Leaving amplifiers out by the least impedance of a class changes no answer."""
    rng, box_class, feeds = _world(seed)
    levels, boxes = worlds.random_levels(rng, 30, 9), worlds.random_boxes(rng, 30)
    wish = worlds.random_wish(rng)
    feeds = replace(feeds, current_a=5 * feeds.current_a)
    least = np.full(4, np.inf)
    np.minimum.at(least, box_class, levels.impedance_ohm.min(axis=(1, 2)))
    found = []
    for used in (feeds, undominated(feeds), undominated(feeds, least_ohm=least)):
        pairs = evaluate(
            levels, box_class, used, wished_db=wish.level_db, certainty_share=wish.certainty_share
        )
        found.append(judge(boxes, used, pairs, wish=wish, hourly_rate=60, tax_share=0.2))
    brute, some, fewest = found
    assert fewest.mask.size < some.mask.size < brute.mask.size
    goals_of = [goals_to_lower(s, np.flatnonzero(s.mask == 0)) for s in (brute, fewest)]
    fronts = [np.unique(rows[front(rows)], axis=0) for rows in goals_of]
    np.testing.assert_allclose(fronts[0], fronts[1])
