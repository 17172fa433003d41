"""Data sheets that contradict themselves: taken as told, trusted less or left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright import jobs, stages
from basswright.catalogue import demo
from basswright.records.job import Job
from basswright.stages import Prepared, Weighed

BOASTS = 12


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    """A catalogue in which some boxes boast of far more sensitivity than they can have."""
    snapshot = demo.make(enclosures=150, amplifiers=40).snapshot
    told = [
        each.model_copy(update={"sensitivity_db": 104.0, "low_limit_hz": 24.0})
        if place < BOASTS
        else each
        for place, each in enumerate(snapshot.enclosures)
    ]
    first = snapshot.amplifiers[0]
    boasting = first.model_copy(update={"fuse_a": 5.0})
    amplifiers = (boasting, *snapshot.amplifiers[1:])
    return stages.prepare(replace(snapshot, enclosures=tuple(told), amplifiers=amplifiers))


def _weighed(prepared: Prepared, what: str, previous: Weighed | None = None) -> Weighed:
    job: Job = jobs.parse_job(jobs.sample_text("hatchback"))
    wish = job.wish.model_copy(update={"doubtful_sheets": what})
    return stages.weigh(job.model_copy(update={"wish": wish}), prepared, previous=previous)


def test_clashing_boxes_are_found_counted_and_told(prepared: Prepared) -> None:
    """The answer names how many, and what became of them."""
    weighed = _weighed(prepared, "trust less")
    assert len(prepared.clashes.boxes.ids("contradiction")) >= BOASTS // 3
    (boxes, amplifiers) = stages.options_of(weighed, readings=False).doubtful
    assert "trusted less" in boxes
    assert "1 amplifiers contradict" in amplifiers


def test_what_is_left_out_is_counted_by_a_rule_of_its_own(prepared: Prepared) -> None:
    """No pair of such a box passes, and no pair has such an amplifier."""
    weighed = _weighed(prepared, "leave out")
    out = prepared.facts.contradicts
    assert (weighed.own.margins["data sheet"] < 0).sum() == out[weighed.kept].sum() > 0
    passing = weighed.kept[weighed.systems.pairs.box[weighed.systems.mask == 0]]
    assert not out[passing].any()
    tried = prepared.outputs.amplifier_index[weighed.feeds.output[weighed.feeds.output >= 0]]
    assert 0 not in tried
    assert 0 in prepared.outputs.amplifier_index
    rules = {each.rule: each.in_all for each in stages.options_of(weighed, readings=False).rules}
    assert rules["data sheet"] > 0


def test_trusting_less_widens_the_band(prepared: Prepared) -> None:
    """Only boxes that clash change: the draws of their own sensitivity lie further apart."""
    less, told = _weighed(prepared, "trust less"), _weighed(prepared, "take as told")
    out = prepared.facts.contradicts
    drawn = [models.sensitivity_db[out, 1:] for models in (prepared.models, prepared.as_told)]
    assert drawn[0].std(axis=1).mean() > 1.2 * drawn[1].std(axis=1).mean()
    levels = [each.levels.per_volt_db for each in (less, told)]
    ids = [prepared.snapshot.enclosures[int(box)].id for box in less.kept]
    same = np.array([id_ not in prepared.clashes.boxes.by_id for id_ in ids])
    np.testing.assert_array_equal(levels[0][same], levels[1][same])


@pytest.mark.parametrize("what", ["take as told", "leave out"])
def test_the_switch_gives_the_answer_of_a_fresh_start(prepared: Prepared, what: str) -> None:
    """Nothing stale is taken over from the weighing before."""
    before = _weighed(prepared, "trust less")
    quick, fresh = _weighed(prepared, what, before).systems, _weighed(prepared, what).systems
    np.testing.assert_array_equal(quick.mask, fresh.mask)
    np.testing.assert_array_equal(quick.score, fresh.score)
