"""What the list of options promises is what the system in depth shows."""

from __future__ import annotations

import numpy as np
import pytest

from basswright import drive, jobs, stages
from basswright.catalogue import demo
from basswright.choose import goals
from basswright.records.job import Job
from basswright.records.options import Options
from basswright.stages import Prepared, Weighed


@pytest.fixture(scope="module")
def job() -> Job:
    return jobs.parse_job(jobs.sample_text("hatchback"))


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return stages.prepare(demo.make(enclosures=400, amplifiers=120).snapshot)


@pytest.fixture(scope="module")
def weighed(job: Job, prepared: Prepared) -> Weighed:
    return stages.weigh(job, prepared)


@pytest.fixture(scope="module")
def found(job: Job, prepared: Prepared) -> Options:
    return stages.options(job, prepared, most=8)


def test_level_and_low_limit_agree_with_the_curves(
    job: Job, prepared: Prepared, found: Options
) -> None:
    """The middle figures of the list lie within 1 dB and 2 Hz of the system's own curve."""
    for option in found.options[:8]:
        prediction = stages.system(job, prepared, option.id).prediction
        hz = prediction.frequency_hz
        inside = (hz >= goals.GRID_HZ[0] * 0.999) & (hz <= goals.GRID_HZ[-1] * 1.001)
        level = float(goals.level_db(prediction.loudest_db[inside], hz[inside]))
        assert option.goals.level_db == pytest.approx(level, abs=1.0)
        low = goals.low_limit_hz(prediction.loudest_db[inside], hz[inside], job.wish.level_db)
        assert option.goals.low_limit_hz == pytest.approx(float(low), abs=2.0)


def test_power_and_current_of_the_list_are_those_of_the_match(
    weighed: Weighed, found: Options, job: Job
) -> None:
    """Gain voltage, peak current and total price agree between list and parts."""
    for option in found.options:
        assert option.match.gain_voltage_v**2 / option.match.load_ohm == pytest.approx(
            option.match.used_w, rel=1e-6
        )
        if option.amplifier is None:
            power = drive.built_in_power_w(
                option.enclosure.amplifier, job.car.charging.running_voltage_v
            )
            assert option.match.used_w == pytest.approx(power)
        total = sum(line.total for line in option.lines) * (1 + job.workshop.tax_share)
        assert option.goals.price == pytest.approx(total, abs=0.01)


def test_every_offered_system_passes_every_must_rule(found: Options) -> None:
    """No option of a met wish carries a failing verdict."""
    assert found.wish_met
    for option in found.options:
        failing = [verdict.rule for verdict in option.verdicts if not verdict.passes]
        assert failing == []


@pytest.mark.parametrize("change", ["level", "budget", "luggage", "clearance", "idle"])
def test_a_moved_slider_gives_the_answer_of_a_fresh_start(
    job: Job, prepared: Prepared, weighed: Weighed, change: str
) -> None:
    """Taking over what a change does not touch leaves the answer as it would be without."""
    wish, car = job.wish, job.car
    if change == "idle":
        charging = car.charging.model_copy(update={"alternator_idle_a": 45.0})
        moved = job.model_copy(update={"car": car.model_copy(update={"charging": charging})})
    else:
        update = {
            "level": {"level_db": 118.5},
            "budget": {"budget": 1400.0},
            "luggage": {"luggage_keep_m3": 0.30},
            "clearance": {"clearance_m": 0.03},
        }[change]
        moved = job.model_copy(update={"wish": wish.model_copy(update=update)})
    quick = stages.weigh(moved, prepared, previous=weighed).systems
    fresh = stages.weigh(moved, prepared).systems
    np.testing.assert_array_equal(quick.mask, fresh.mask)
    np.testing.assert_array_equal(quick.score, fresh.score)
    told, before = (s.margins(np.arange(s.mask.size)) for s in (fresh, weighed.systems))
    assert told.shape != before.shape or not np.array_equal(told, before)


def test_the_list_at_a_glance_is_the_head_of_the_whole_list(
    job: Job, prepared: Prepared, weighed: Weighed
) -> None:
    """The brief answer has the same first options, what equals them included."""
    wish = job.wish.model_copy(update={"level_db": 105.0, "budget": 4000.0})
    easy = stages.weigh(job.model_copy(update={"wish": wish}), prepared, previous=weighed)
    whole, brief = stages.options_of(easy), stages.options_of(easy, brief=True)
    assert len(whole.options) > len(brief.options) == 6
    assert brief.options == whole.options[:6]
    assert (brief.rules, brief.concessions, brief.readings) == ((), (), ())
    assert brief.systems == whole.systems
    assert whole.rules
