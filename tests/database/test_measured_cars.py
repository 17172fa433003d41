"""Measured cars are kept by kind, one a job, and outdate what was answered before."""

from __future__ import annotations

import pytest
from pydantic import ValidationError
from sqlalchemy import Engine

from basswright.catalogue.store import Catalogue
from basswright.database.measured_cars import MeasuredCars
from basswright.errors import NotFoundError
from basswright.jobs.store import JobStore
from basswright.records.measured_car import MeasuredCar, kind_key
from tests.database.measured import measured_car
from tests.jobs.stored import sample_job


def test_a_car_counts_once_and_a_later_reading_takes_its_place(engine: Engine) -> None:
    cars = MeasuredCars(engine)
    assert not cars.keep(measured_car("one"))
    assert not cars.keep(measured_car("two"))
    assert cars.keep(measured_car("one", deviation_db=-1.0))
    kept = {each.car.job_id: each.car.deviation_db[0] for each in cars.all()}
    assert kept == {"one": -1.0, "two": 2.0}


def test_a_snapshot_holds_the_measured_cars_and_is_renewed_by_each(engine: Engine) -> None:
    catalogue, cars = Catalogue(engine), MeasuredCars(engine)
    assert catalogue.snapshot().measured_cars == ()
    cars.keep(measured_car("one"))
    assert catalogue.snapshot().measured_cars == (measured_car("one"),)
    cars.forget("one")
    assert catalogue.snapshot().measured_cars == ()
    with pytest.raises(NotFoundError, match="measured car"):
        cars.forget("one")


def test_what_a_car_taught_outlives_its_job(engine: Engine) -> None:
    jobs = JobStore(engine)
    jobs.save(sample_job())
    MeasuredCars(engine).keep(measured_car("green-hatch"))
    jobs.delete("green-hatch")
    assert len(MeasuredCars(engine).all()) == 1


def test_the_kind_is_the_name_and_the_body_however_it_is_written() -> None:
    assert kind_key("Invented  HATCH-3", "hatchback") == kind_key("invented hatch 3", "hatchback")
    assert kind_key("Invented hatch 3", "saloon") != kind_key("Invented hatch 3", "hatchback")


@pytest.mark.parametrize(
    "wrong",
    [
        {"deviation_db": (1.0,)},
        {"frequency_hz": tuple(float(n) for n in range(18, 0, -1))},
        {"spread_db": (0.0,) * 18},
        {"deviation_db": (99.0,) * 18},
    ],
)
def test_curves_that_do_not_go_together_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        MeasuredCar.model_validate({**measured_car("one").model_dump(), **wrong})
