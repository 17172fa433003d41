"""Peak figures taken for RMS, and other contradictions of a data sheet."""

from __future__ import annotations

import pytest

from basswright.drive import claim_problems, outputs, power_at_load
from basswright.drive.claims import fuse_power_w
from basswright.records.amplifier import PowerRating
from tests.drive.sample import amplifier, mono, stereo


def test_fuses_bound_the_power() -> None:
    """80 A x 14.0 V x 0.8 = 896 W (power balance)."""
    bound = fuse_power_w(mono(fuse_a=80.0, rated_voltage_v=14.0))
    assert bound == pytest.approx(80 * 14.0 * 0.88)
    assert fuse_power_w(mono(fuse_a=80.0, current_a=40.0)) == pytest.approx(40 * 14.4 * 0.88)
    assert fuse_power_w(mono()) is None
    silent = mono(fuse_a=80.0, rated_voltage_v=None)
    assert fuse_power_w(silent) == pytest.approx(80 * 14.4 * 0.88)


def test_fuses_pass_a_quarter_more_for_the_seconds_of_a_rating() -> None:
    """A claim at 125 % of the bound stands, one a little above does not."""
    bound = 40 * 14.4 * 0.88
    for power, problems in ((bound * 1.249, 0), (bound * 1.251, 1)):
        claim = amplifier({"single": {4.0: power}}, fuse_a=40.0)
        assert len(claim_problems(claim)) == problems


def test_ratings_may_differ_by_rounding() -> None:
    """Twice the power into half the load is a stiff supply; 2 % more is rounding."""
    for power, problems in ((606.0, 0), (611.9, 0), (612.1, 1)):
        claim = amplifier({"single": {4.0: 300.0, 2.0: power}})
        assert len(claim_problems(claim)) == problems


def test_a_peak_figure_is_recognised_by_the_fuses_and_not_used() -> None:
    """3000 W at 4 ohm behind 30 A cannot be RMS; all ratings shrink in step."""
    peak = amplifier({"single": {4.0: 3000.0, 2.0: 6000.0}}, fuse_a=30.0)
    problem = claim_problems(peak)[0]
    assert problem.field == "ratings"
    assert "peak figure" in problem.problem
    assert "RMS" in problem.ask
    bound = 30 * 14.4 * 0.88
    assert power_at_load(outputs([peak]), [2, 4], 14.4)[:, 0] == pytest.approx([bound, bound / 2])


def test_honest_ratings_raise_no_question() -> None:
    """800 W behind 80 A at 14.4 V."""
    assert claim_problems(mono(fuse_a=80.0)) == ()
    assert claim_problems(stereo(fuse_a=25.0)) == ()


def test_all_channels_count_against_the_fuses() -> None:
    """Four channels of 120 W need 480 W; 20 A stand for 253 W."""
    four = stereo(channels=4, fuse_a=20.0)
    assert any("480 W (per-channel)" in p.problem for p in claim_problems(four))


def test_one_peak_row_among_honest_ones_is_found_by_its_voltage() -> None:
    """4000 W into 1 ohm needs twice the voltage that 2 ohm gets: the voltage is believed."""
    mixed = amplifier({"single": {4.0: 300.0, 2.0: 500.0, 1.0: 4000.0}})
    assert "more voltage into the smaller load" in claim_problems(mixed)[0].problem
    assert power_at_load(outputs([mixed]), [1, 2, 4], 14.4)[:, 0] == pytest.approx([1000, 500, 300])


def test_power_that_rises_with_the_load_faster_than_current_allows_is_found() -> None:
    """500 W into 4 ohm and 100 W into 2 ohm need more current into more load."""
    odd = amplifier({"single": {4.0: 500.0, 2.0: 100.0}})
    assert "more current" in claim_problems(odd)[0].problem
    assert power_at_load(outputs([odd]), 4.0, 14.4)[0, 0] == pytest.approx(200)


def test_two_powers_for_one_load_take_the_smaller() -> None:
    """Named, and the smaller is used."""
    rating = PowerRating(mode="single", load_ohm=4.0, power_w=900.0)
    once = amplifier({"single": {4.0: 300.0}})
    twice = once.model_copy(update={"ratings": (*once.ratings, rating)})
    assert "two powers" in claim_problems(twice)[0].problem
    assert power_at_load(outputs([twice]), 4.0, 14.4)[0, 0] == pytest.approx(300)


def test_a_bridged_load_must_be_twice_that_of_a_channel() -> None:
    """2 ohm bridged means 1 ohm a channel, below 2: 4 ohm is taken."""
    bold = stereo(lowest_bridged_ohm=2.0)
    assert claim_problems(bold)[0].field == "lowest_bridged_ohm"
    assert outputs([bold]).lowest_load_ohm.tolist() == [2.0, 4.0]


def test_bridged_ratings_without_a_lowest_load_take_the_rated_one() -> None:
    """Named; the rated bridged load is the lowest."""
    open_end = amplifier({"per-channel": {4.0: 75.0}, "bridged": {8.0: 150.0}}, lowest_load_ohm=2.0)
    assert "no lowest bridged load" in claim_problems(open_end)[0].problem
    assert outputs([open_end]).lowest_load_ohm.tolist() == [2.0, 8.0]
