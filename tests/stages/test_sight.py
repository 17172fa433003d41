"""A box that may not be seen stays under the cover, and the answer says what it cannot know."""

from __future__ import annotations

import numpy as np
import pytest

from basswright import jobs, space, stages
from basswright.catalogue import demo
from basswright.choose.rules import INDEX
from basswright.records.job import Job
from basswright.stages import Prepared
from basswright.stages.sight import NO_COVER


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return stages.prepare(demo.make(enclosures=300, amplifiers=40).snapshot)


def _job(*, cover_m: float | None, visible: bool = False) -> Job:
    job = jobs.parse_job(jobs.sample_text("hatchback"))
    load_space = job.car.load_space.model_copy(update={"cover_height_m": cover_m})
    wish = {"visible": visible, "level_db": 100.0, "low_limit_hz": 60.0, "budget": 4000.0}
    return job.model_copy(
        update={
            "car": job.car.model_copy(update={"load_space": load_space}),
            "wish": job.wish.model_copy(update=wish),
        }
    )


def test_every_offered_box_stays_below_the_cover(prepared: Prepared) -> None:
    """The corners of each placed box lie below it, and the verdict says by how much."""
    cover = 0.36
    found = stages.options(_job(cover_m=cover), prepared)
    assert found.wish_met
    for option in found.options:
        top = max(corner[2] for part in option.placement.parts for corner in part)
        assert top <= cover - 0.005 + 1e-6
        sight = next(each for each in option.verdicts if each.rule == "out of sight")
        assert sight.passes
    seen = stages.options(_job(cover_m=cover, visible=True), prepared)
    tops = [max(c[2] for p in option.placement.parts for c in p) for option in seen.options]
    assert max(tops) > cover


def test_boxes_that_are_seen_pass_with_a_cover_as_high_as_told(prepared: Prepared) -> None:
    """The relief in millimetres is what the cover has to be raised, to the next millimetre."""
    job = _job(cover_m=0.33)
    weighed = stages.weigh(job, prepared)
    margin = weighed.own.margins["out of sight"]
    short = np.flatnonzero((margin < 0) & (margin > -60))
    assert short.size > 3
    for row in short[:6].tolist():
        box = weighed.kept[row]
        higher = _job(cover_m=0.33 + (0.5 - margin[row]) / 1000)
        again = stages.weigh(higher, prepared)
        assert again.sight.margin_mm[box] >= 0
    counted = {each.rule: each for each in stages.options_of(weighed, readings=False).rules}
    assert counted["out of sight"].in_all > 0


def test_luggage_is_counted_in_the_whole_space(prepared: Prepared) -> None:
    """List and placement agree although the cover parts the space."""
    for option in stages.options(_job(cover_m=0.36), prepared).options[:3]:
        assert option.placement.luggage_left_m3 == pytest.approx(option.goals.luggage_left_m3)


def test_without_a_known_cover_the_answer_says_that_it_cannot_judge(prepared: Prepared) -> None:
    """No box is left out; the estimates name the reading that is missing."""
    found = stages.options(_job(cover_m=None), prepared)
    assert any(NO_COVER in text for text in found.estimates)
    assert all(each.rule != "out of sight" or each.in_all == 0 for each in found.rules)


@pytest.mark.parametrize(("kind", "hidden"), [("saloon", True), ("estate", False)])
def test_a_closed_boot_always_hides(prepared: Prepared, kind: str, hidden: bool) -> None:
    """A cover makes no difference in a saloon's boot."""
    job = _job(cover_m=0.25)
    load_space = job.car.load_space.model_copy(update={"kind": kind})
    car = job.car.model_copy(update={"load_space": load_space})
    weighed = stages.weigh(job.model_copy(update={"car": car}), prepared)
    assert bool((weighed.sight.margin_mm >= 0).all()) is hidden
    fit = space.fit(weighed.solid, prepared.boxes, clearance_m=job.wish.clearance_m)
    assert (weighed.sight.margin_mm[~fit.fit.passes] == 0).all()


def test_moving_the_wish_to_hide_gives_the_answer_of_a_fresh_start(prepared: Prepared) -> None:
    """Nothing stale is taken over from the weighing in which the box could be seen."""
    seen = stages.weigh(_job(cover_m=0.36, visible=True), prepared)
    hidden = _job(cover_m=0.36)
    quick = stages.weigh(hidden, prepared, previous=seen).systems
    fresh = stages.weigh(hidden, prepared).systems
    np.testing.assert_array_equal(quick.mask, fresh.mask)
    bit = 1 << INDEX["out of sight"]
    assert (fresh.mask & bit).any()
    assert not (seen.systems.mask & bit).any()
