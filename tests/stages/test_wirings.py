"""Other wirings of a box take part in the search like boxes of their own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright import drive, jobs, stages
from basswright.catalogue import demo
from basswright.records.enclosure import Terminals
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.stages.weigh import Weighed


@pytest.fixture(scope="module")
def job() -> Job:
    return jobs.parse_job(jobs.sample_text("hatchback"))


@pytest.fixture(scope="module")
def snapshot() -> Snapshot:
    return demo.make(enclosures=240, amplifiers=60).snapshot


def _best(weighed: Weighed) -> dict[str, float]:
    """Best score of each box, whatever its wiring."""
    systems = weighed.systems
    passing = np.flatnonzero(systems.mask == 0)
    found: dict[str, float] = {}
    for row in passing.tolist():
        box = weighed.kept[systems.pairs.box[row]]
        id_ = weighed.prepared.snapshot.enclosures[int(box)].id
        found[id_] = max(found.get(id_, 0.0), float(systems.score[row]))
    return found


def test_the_joint_search_equals_one_box_for_each_wiring(job: Job, snapshot: Snapshot) -> None:
    """Every wiring written out as a box of its own, with one load, gives the same best systems."""
    apart = []
    for each in snapshot.enclosures:
        loads = drive.loads_of(each)
        for load in loads or (None,):
            wired = each if load is None else drive.as_wired(each, load)
            apart.append(wired.model_copy(update={"terminals": None}))
    assert len(apart) > len(snapshot.enclosures)
    free = {"level_db": 106.0, "low_limit_hz": 60.0, "budget": 3000.0}
    job = job.model_copy(update={"wish": job.wish.model_copy(update=free)})
    joint = stages.weigh(job, snapshot)
    # the draws of a box hang on its id, so all its wirings keep it
    plain = stages.weigh(job, replace(snapshot, enclosures=tuple(apart)))
    ours, theirs = _best(joint), _best(plain)
    assert ours.keys() == theirs.keys()
    assert len(ours) > 5
    for id_, score in ours.items():
        assert score == pytest.approx(theirs[id_], abs=1e-6)


def test_a_chosen_wiring_is_told_and_named(job: Job, snapshot: Snapshot) -> None:
    """With only an amplifier for 8 ohm the series wiring is found, told, drawn and predicted."""
    going_in = stages.weigh(job, snapshot).whole_fit.fit.passes
    box = next(
        each
        for each, goes_in in zip(snapshot.enclosures, going_in, strict=True)
        if goes_in and each.load_ohm in (1.0, 2.0) and each.terminals is not None
    )
    loads = drive.loads_of(box)
    only_high = tuple(
        each.model_copy(update={"lowest_load_ohm": max(loads), "lowest_bridged_ohm": None})
        for each in snapshot.amplifiers
    )
    rest = replace(snapshot, enclosures=(box,), amplifiers=only_high)
    free = {"level_db": 90.0, "low_limit_hz": 80.0, "budget": 1e5, "luggage_keep_m3": 0.0}
    easy = job.model_copy(update={"wish": job.wish.model_copy(update=free)})
    weighed = stages.weigh(easy, rest)
    assert set(weighed.feeds.load_ohm) == {max(loads)}
    found = stages.options_of(weighed, readings=False)
    assert found.systems == 2 * len(weighed.prepared.outputs)
    option = found.options[0]
    assert option.id.endswith(f"--{max(loads):g}-ohm")
    assert option.match.load_ohm == option.enclosure.load_ohm == max(loads)
    assert "in series" in option.match.wiring
    system = stages.system_of(weighed, option)
    assert "50 %" in system.drawings["coils"]
    assert stages.system(easy, rest, option.id).option.match == option.match


def test_terminals_that_do_not_make_the_load_leave_the_box_out(snapshot: Snapshot) -> None:
    """The box is refused with its reason; the others are weighed."""
    box = next(each for each in snapshot.enclosures if each.load_ohm == 4.0)
    bad = box.model_copy(update={"terminals": Terminals(pairs=2, load_ohm=4.0)})
    prepared = stages.prepare(replace(snapshot, enclosures=(bad, *snapshot.enclosures[:5])))
    assert [each.item for each in prepared.refused] == [bad.id]
