"""What each choice costs and brings agrees with weighing the changed job anew."""

from __future__ import annotations

import numpy as np
import pytest

from basswright import drive, jobs, space, stages, supply
from basswright.catalogue import demo
from basswright.errors import NotFoundError
from basswright.records.job import Job
from basswright.records.tradeoffs import PowerStep, Tradeoffs
from basswright.sound import loudness
from basswright.stages import Prepared, Weighed


@pytest.fixture(scope="module")
def job() -> Job:
    return jobs.parse_job(jobs.sample_text("hatchback"))


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return stages.prepare(demo.make(enclosures=500, amplifiers=120).snapshot)


@pytest.fixture(scope="module")
def weighed(job: Job, prepared: Prepared) -> Weighed:
    return stages.weigh(job, prepared)


@pytest.fixture(scope="module")
def found(weighed: Weighed) -> Tradeoffs:
    return stages.tradeoffs_of(weighed, "1")


def _by_share(found: Tradeoffs) -> dict[float, PowerStep]:
    return {step.share: step for step in found.power}


def test_the_chosen_system_is_the_zero_of_every_power_figure(
    weighed: Weighed, found: Tradeoffs
) -> None:
    """Whole power changes nothing, and its level is the one that the list tells."""
    own = _by_share(found)[1.0]
    chosen = stages.options_of(weighed, most=1, readings=False).options[0]
    assert found.option == chosen.id
    assert (own.change_db, own.times_as_loud, own.extra_price) == pytest.approx((0, 1, 0))
    assert own.sure_level_db == pytest.approx(chosen.goals.sure_level_db, abs=1e-3)
    assert own.sure_low_limit_hz == pytest.approx(chosen.goals.sure_low_limit_hz, abs=0.1)
    assert own.power_w == chosen.match.used_w
    assert own.peak_current_a == pytest.approx(chosen.supply.peak_current_a)


def test_half_the_power_never_costs_more_than_three_decibels(
    weighed: Weighed, job: Job, prepared: Prepared
) -> None:
    """Half the power is 10 log10 2 = 3.01 dB, less where the box was the limit."""
    for name in ("1", "2", "3", "4"):
        steps = _by_share(stages.tradeoffs_of(weighed, name))
        half, double = steps[0.5], steps[2.0]
        assert -3.0103 - 1e-6 <= half.change_db < 0 < double.change_db <= 3.0103 + 1e-6
        if half.box_limits_share == steps[1.0].box_limits_share == 0:
            assert half.change_db == pytest.approx(-3.0103, abs=1e-3)
        assert double.change_db <= -half.change_db + 1e-9, "each doubling brings less"


def test_loudness_follows_the_contours_and_not_the_ten_decibel_rule(found: Tradeoffs) -> None:
    """ISO 226:2023: at 50 Hz and these levels about 6 dB double the loudness."""
    quarter = _by_share(found)[0.25]
    level = found.power[2].sure_level_db
    at_50_hz = loudness.times_as_loud(level + quarter.change_db, level, 50.0)
    assert quarter.times_as_loud == pytest.approx(float(at_50_hz), abs=0.12)
    assert quarter.times_as_loud < 2 ** (quarter.change_db / 10)


def test_the_charging_system_stays_up_to_the_power_that_is_told(
    weighed: Weighed, found: Tradeoffs
) -> None:
    """Two per cent less asks for nothing, two per cent more for an upgrade."""
    assert found.charging_stays_up_to_w is not None
    own = _by_share(found)[1.0]
    chosen = stages.options_of(weighed, most=1, readings=False).options[0].supply
    for factor, needed in ((0.98, False), (1.02, True)):
        share = found.charging_stays_up_to_w / own.power_w * factor
        plan = supply.plan(
            weighed.job.car.charging,
            weighed.prepared.snapshot,
            peak_a=chosen.peak_current_a * share,
            average_a=chosen.average_current_a * share,
            steps=weighed.ladder,
        )
        assert (plan.battery is not None or plan.alternator is not None) is needed


def test_more_height_lets_in_the_boxes_that_it_is_said_to(
    weighed: Weighed, prepared: Prepared, found: Tradeoffs
) -> None:
    """The load space is built anew, 30 mm higher, and every box tried again."""
    low = next(each for each in found.dimensions if each.name == "height")
    old = weighed.whole_fit.fit
    space_read = weighed.job.car.load_space
    higher = space_read.model_copy(update={"height_m": space_read.height_m + 0.030})
    new = space.fit(
        space.solid(higher), prepared.boxes, clearance_m=weighed.job.wish.clearance_m
    ).fit
    kept_out = ~old.passes & (old.limit_index == old.limits.index("height"))
    assert low.leaves_out == int(kept_out.sum())
    assert low.lets_in[-1] == pytest.approx(int((kept_out & new.passes).sum()), abs=2)


def test_every_box_is_counted_once_by_kind_and_by_cone(
    prepared: Prepared, found: Tradeoffs
) -> None:
    for groups in (found.kinds, found.cones):
        assert sum(group.boxes for group in groups) == len(prepared.snapshot.enclosures)
        assert all(group.go_in <= group.boxes for group in groups)
        assert all((group.sure_level_db is None) is (group.best == "") for group in groups)


def test_the_best_of_a_kind_is_what_allowing_that_kind_alone_brings(
    job: Job, prepared: Prepared, found: Tradeoffs
) -> None:
    """The wish is changed to closed boxes only and loudness alone, and weighed anew."""
    closed = next(group for group in found.kinds if group.name == "closed")
    loud = job.wish.model_copy(update={"box_kinds": ("closed",), "low_limit_hz": 80.0})
    systems = stages.weigh(job.model_copy(update={"wish": loud}), prepared).systems
    margins = systems.margins(np.arange(systems.mask.size))
    offered = margins[:, [name_place("budget"), name_place("supply")]].min(axis=1) >= 0
    offered &= margins[:, [name_place("box kind"), name_place("power match")]].min(axis=1) >= 0
    offered &= margins[:, [name_place("space"), name_place("opening")]].min(axis=1) >= 0
    assert closed.sure_level_db == pytest.approx(
        float(systems.pairs.sure_level_db[offered].max()), abs=1e-6
    )


def name_place(rule: str) -> int:
    from basswright.choose.rules import INDEX

    return INDEX[rule]


def test_the_amplifier_into_other_loads_is_what_it_is_rated_for(weighed: Weighed) -> None:
    listed = stages.options_of(weighed, most=20, readings=False).options
    chosen = next(option for option in listed if option.amplifier is not None)
    assert chosen.amplifier is not None
    table = drive.outputs((chosen.amplifier,))
    lowest = table.lowest_load_ohm[table.modes.index(chosen.match.mode)]
    steps = stages.tradeoffs_of(weighed, chosen.id).loads
    own = next(step for step in steps if step.own)
    assert own.load_ohm == chosen.match.load_ohm
    assert own.power_w == pytest.approx(chosen.match.available_w)
    assert {step.load_ohm for step in steps} >= {1.0, 2.0, 4.0, 8.0}
    for step in steps:
        assert (step.change_db is None) is (step.power_w == 0) is bool(step.load_ohm < lowest * 0.9)


def test_a_box_that_brings_its_amplifier_has_no_other_loads_and_no_more_power(
    weighed: Weighed,
) -> None:
    listed = stages.options_of(weighed, most=20, readings=False).options
    chosen = next(option for option in listed if option.amplifier is None)
    found = stages.tradeoffs_of(weighed, chosen.id)
    assert found.loads == ()
    assert not any(told.startswith("Twice") for told in found.sentences)


def test_the_sentences_carry_the_figures(found: Tradeoffs) -> None:
    half = _by_share(found)[0.5]
    assert any(f"{-half.change_db:.1f} dB" in told and "Half" in told for told in found.sentences)
    assert any(f"{found.charging_stays_up_to_w:.0f} W" in told for told in found.sentences)


def test_an_option_that_is_not_there_is_told(weighed: Weighed) -> None:
    with pytest.raises(NotFoundError):
        stages.tradeoffs_of(weighed, "nonesuch")
