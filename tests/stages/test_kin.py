"""Which measured cars a job rests on, and what they do to its promise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from basswright import jobs, stages
from basswright.catalogue import demo
from basswright.records.cabin import CabinMeasurement
from basswright.stages.kin import cabin_of, kin_of
from tests.database.measured import measured_car

JOB = jobs.parse_job(jobs.sample_text("hatchback"))
RANGE = demo.make(2, enclosures=40, amplifiers=15).snapshot


def _cars(count, deviation_db=2.0):
    return tuple(
        measured_car(f"job-{number}", JOB.car.name, deviation_db=deviation_db)
        for number in range(count)
    )


def test_kin_is_of_the_same_name_and_body_and_not_the_job_itself():
    shouted = measured_car("a", JOB.car.name.upper())
    other = measured_car("b", "Another car")
    own = measured_car(JOB.id, JOB.car.name)
    snapshot = replace(RANGE, measured_cars=(shouted, other, own))
    assert kin_of(JOB, snapshot) == (shouted,)
    kept = CabinMeasurement(
        frequency_hz=(20.0, 40.0, 80.0), level_db=(60.0,) * 3, cone_x_m=0, cone_y_m=0, cone_z_m=0.2
    )
    measured = JOB.car.model_copy(update={"cabin_measurement": kept})
    assert kin_of(JOB.model_copy(update={"car": measured}), snapshot) == ()


def test_the_promise_moves_and_its_band_narrows_with_the_cars():
    """2 dB louder in every car: five of them move the promise by most of it."""
    weighed = [stages.weigh(JOB, replace(RANGE, measured_cars=_cars(count))) for count in (0, 1, 5)]
    option = stages.options_of(weighed[0], most=1).options[0]
    bass = slice(12, 33)
    found = [stages.system_of(each, option).prediction for each in weighed]
    moved = [float(np.mean((each.level_db - found[0].level_db)[bass])) for each in found]
    width = [float(np.mean((each.level_high_db - each.level_low_db)[bass])) for each in found]
    assert 0 < moved[1] < moved[2] < 2.3
    assert moved[2] > 1.3
    assert width[0] > width[1] > width[2]
    assert "measured cars of this kind: 5" in found[2].cabin_model
    plain = cabin_of(JOB)
    assert plain.name == weighed[0].cabin.name


def test_an_earlier_weighing_is_not_taken_over_when_the_kind_of_car_changes():
    prepared = stages.prepare(replace(RANGE, measured_cars=_cars(3)))
    first = stages.weigh(JOB, prepared)
    renamed = JOB.model_copy(update={"car": JOB.car.model_copy(update={"name": "Another car"})})
    after = stages.weigh(renamed, prepared, previous=first)
    alone = stages.weigh(renamed, prepared)
    assert np.array_equal(after.levels.per_volt_db, alone.levels.per_volt_db)
    assert not np.array_equal(after.levels.per_volt_db, first.levels.per_volt_db)
