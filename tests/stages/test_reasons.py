"""Concessions, readings and comparisons tell what a second weighing confirms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from basswright import jobs, stages
from basswright.catalogue import demo
from basswright.records.job import Job
from basswright.records.options import Options
from basswright.sound import loudness
from basswright.stages import Prepared


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return stages.prepare(demo.make(enclosures=500, amplifiers=120).snapshot)


@pytest.fixture(scope="module")
def job() -> Job:
    return jobs.parse_job(jobs.sample_text("hatchback"))


@pytest.fixture(scope="module")
def found(job: Job, prepared: Prepared) -> Options:
    return stages.options(job, prepared)


def _with_wish(job: Job, **changes: float) -> Job:
    return job.model_copy(update={"wish": job.wish.model_copy(update=changes)})


def test_the_told_budget_admits_the_told_system(job: Job, prepared: Prepared) -> None:
    """Raising the budget by what the concession says puts its system among the options."""
    job = _with_wish(job, budget=800.0)
    found = stages.options(job, prepared)
    change = next(c for c in found.concessions if c.rules == ("budget",))
    richer = _with_wish(job, budget=job.wish.budget + change.amounts[0])
    listed = stages.options(richer, prepared, most=200).options
    mine = next(o for o in listed if o.enclosure.id == change.enclosure)
    assert mine.goals.price <= richer.wish.budget
    if (mine.amplifier.id if mine.amplifier else "") == change.amplifier:
        gain = mine.goals.sure_level_db - found.options[0].goals.sure_level_db
        assert gain == pytest.approx(change.gain_db, abs=1e-6)
    poorer = _with_wish(job, budget=job.wish.budget + change.amounts[0] - 2.0)
    before = {o.enclosure.id for o in stages.options(poorer, prepared, most=200).options}
    assert change.enclosure not in before or change.admits > 1


def test_lone_counts_are_what_dropping_the_rule_admits(
    job: Job, prepared: Prepared, found: Options
) -> None:
    """A budget without end admits exactly the boxes that the budget alone leaves out."""
    count = next(c for c in found.rules if c.rule == "budget")
    here = {o.enclosure.id for o in stages.options(job, prepared, most=200).options}
    free = stages.options(_with_wish(job, budget=1e6), prepared, most=500).options
    assert len({o.enclosure.id for o in free} - here) == count.alone


def test_a_delicate_reading_is_told_and_true(job: Job, prepared: Prepared) -> None:
    """Shrinking the told reading by the told amount loses the told options, 1 mm less does not."""
    tight = _with_wish(job, luggage_keep_m3=0.0)
    lower = {"height_m": 0.38, "depth_top_m": 0.60}
    space = tight.car.load_space.model_copy(update=lower)
    tight = tight.model_copy(update={"car": tight.car.model_copy(update={"load_space": space})})
    found = stages.options(tight, prepared)
    told = next(reading for reading in found.readings if reading.reading == "height_m")
    assert "measure the height again" in told.text
    for change, lost in ((told.change_m, True), (told.change_m + 0.001, False)):
        smaller = space.model_copy(update={"height_m": space.height_m + change})
        moved = tight.model_copy(
            update={"car": tight.car.model_copy(update={"load_space": smaller})}
        )
        listed = {o.id for o in stages.options(moved, prepared, most=300).options}
        assert (not set(told.lost) <= listed) is lost


def test_two_systems_side_by_side_agree_with_their_curves(
    job: Job, prepared: Prepared, found: Options
) -> None:
    """Decibels come from the curves, times as loud from ISO 226:2023 and the sone."""
    first, second = (stages.system(job, prepared, option.id) for option in found.options[:2])
    both = stages.compare(first, second)
    i = both.heard_hz.index(40.0)
    at = abs(first.prediction.frequency_hz - 40.0).argmin()
    one, other = first.prediction.loudest_db[at], second.prediction.loudest_db[at]
    assert both.louder_db[i] == pytest.approx(other - one)
    assert both.times_as_loud[i] == pytest.approx(float(loudness.times_as_loud(other, one, 40.0)))
    assert both.sentence.startswith("The second system sounds")
    assert "EUR" in both.sentence
    same = stages.compare(first, first)
    assert "about as loud" in same.sentence
    assert set(same.louder_db) == {0.0}


def test_where_nothing_may_be_offered_the_nearest_is_still_told(
    job: Job, prepared: Prepared
) -> None:
    """A space that no box goes into: what lacks least, and by how much."""
    opening = job.car.load_space.opening.model_copy(update={"width_m": 0.1, "height_m": 0.1})
    space = job.car.load_space.model_copy(update={"opening": opening})
    shut = job.model_copy(update={"car": job.car.model_copy(update={"load_space": space})})
    found = stages.options(shut, prepared)
    assert not found.options
    told = {near.rule: near for near in found.nearest}
    assert told["opening"].short_by > 0
    assert told["opening"].enclosure in {e.id for e in prepared.snapshot.enclosures}


def test_a_kind_that_the_wish_leaves_out_is_named(job: Job, prepared: Prepared) -> None:
    """ "Allow this kind" would leave a person guessing which."""
    wish = job.wish.model_copy(update={"box_kinds": ("bandpass",)})
    found = stages.options(job.model_copy(update={"wish": wish}), prepared)
    texts = [c.text for c in found.concessions if c.rules == ("box kind",)]
    assert any("allowing vented boxes" in text for text in texts)


def test_the_load_of_an_amplifier_built_in_is_not_told(job: Job, prepared: Prepared) -> None:
    """It is assumed and cancels out, so no figure of it may look like a reading."""
    wish = job.wish.model_copy(update={"built_in_amplifier": "only"})
    found = stages.options(job.model_copy(update={"wish": wish}), prepared)
    assert found.options
    for option in found.options:
        assert not any("ohm" in reason for reason in option.reasons)


def test_a_box_that_contradicts_itself_stands_in_nobodys_way(job: Job) -> None:
    """It is left out and told of; the others are weighed as if it were not there."""
    snapshot = demo.make(enclosures=40, amplifiers=40).snapshot
    first = snapshot.enclosures[0]
    figures = {"fs_hz": 30.0, "Qes": 2.0, "Qms": 5.0, "Qts": 0.3, "Vas_m3": 0.05}
    bad = first.model_copy(update={"id": "bad", "driver": first.driver.model_copy(update=figures)})
    mixed = replace(snapshot, enclosures=(*snapshot.enclosures, bad))
    found, alone = stages.options(job, mixed), stages.options(job, snapshot)
    assert [o.id for o in found.options] == [o.id for o in alone.options]
    assert found.refused
    assert all(text.startswith("bad, driver.") for text in found.refused)
    told = stages.why(job, mixed, "bad")
    assert not told.passes
    assert "contradict" in told.text


def test_only_small_changes_are_told_while_the_wish_is_met(found: Options) -> None:
    """At most five steps in all, and none that brings neither a box nor a better score."""
    assert found.wish_met
    for change in found.concessions:
        assert change.better or change.admits > 0
        for amount, unit in zip(change.amounts, change.units, strict=True):
            step = {"mm": 10.0, "L": 20.0, "dB": 1.0, "Hz": 3.0, "A": 20.0}.get(unit)
            assert step is None or amount <= 5 * step
        assert change.better is ("no better by the score" not in change.text)
