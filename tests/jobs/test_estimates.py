"""What stands in for readings that were not taken.

The ranges are common practice, no source.
"""

from __future__ import annotations

import pytest

from basswright.jobs import parse_job, sample_names, sample_text, write_job
from basswright.jobs.estimates import BY_PATH, ESTIMATORS, Readings
from basswright.jobs.keys import keys_of
from basswright.jobs.shapes import Table
from basswright.records.base import Record
from basswright.records.car import Car
from basswright.records.job import Job

JOBS = [parse_job(sample_text(name)) for name in sample_names()]


def bare(job: Job) -> Job:
    """Return the job as it would be without any reading that can be estimated."""
    text = []
    table = ""
    for line in write_job(job).splitlines():
        table = line.strip("[]") if line.startswith("[") else table
        key = f"{table}.{line.split(' =')[0]}".removeprefix("car.")
        fields = {without_unit(path) for path in BY_PATH}
        if key not in fields and table != "car.origins":
            text.append(line)
    return parse_job("\n".join(text))


def without_unit(path: str) -> str:
    """Return the dotted keys of a dotted field path."""
    records: list[type[Record]] = [Car]
    names = []
    for part in path.split("."):
        key = next(k for r in records for k in keys_of(r) if k.field == part)
        names.append(key.key)
        records = list(key.shape.variants.values()) if isinstance(key.shape, Table) else []
    return ".".join(names)


@pytest.mark.parametrize("job", JOBS, ids=[job.id for job in JOBS])
def test_every_estimate_is_marked_and_lies_inside_its_band(job: Job) -> None:
    job = bare(job)
    space = type(job.car.load_space).model_fields
    has = {
        path
        for path in BY_PATH
        if not path.startswith("load_space.") or path.removeprefix("load_space.") in space
    }
    assert set(job.car.origins) == has
    for path, origin in job.car.origins.items():
        assert origin.kind == "estimated"
        assert origin.note
        value = Readings(job.car.model_dump())._get(path)
        if origin.low is not None and origin.high is not None:
            assert isinstance(value, float)
            assert origin.low < value < origin.high, path


def test_a_reading_that_was_taken_is_never_replaced() -> None:
    job = parse_job(sample_text())
    assert "charging.cable_route_m" not in job.car.origins
    assert job.car.charging.cable_route_m == 5.2


def test_an_estimate_follows_the_reading_that_it_rests_on() -> None:
    longer = parse_job(sample_text().replace('length = "2480 mm"', 'length = "2580 mm"'))
    before = parse_job(sample_text()).car.cabin.volume_m3
    assert longer.car.cabin.volume_m3 == pytest.approx(before * 2580 / 2480)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("hatchback", 2.2, 3.8), ("estate", 2.8, 3.9), ("saloon", 2.5, 3.2), ("suv", 3.5, 5.5)],
)
def test_the_air_volume_is_usual_for_the_body(name: str, low: float, high: float) -> None:
    """Common practice, no source: the usual ranges of air volume by body."""
    assert low <= parse_job(sample_text(name)).car.cabin.volume_m3 <= high


def test_only_a_saloon_has_a_closed_boot() -> None:
    cars = {name: parse_job(sample_text(name)).car.cabin for name in sample_names()}
    closed = {name for name, cabin in cars.items() if cabin.boot_volume_m3 > 0}
    assert closed == {"saloon"}
    assert 0.35 <= cars["saloon"].boot_volume_m3 <= 0.60


def test_equal_widths_mean_no_wheel_arches() -> None:
    text = sample_text("suv").replace('"52 in"', '"41 1/2 in"')
    space = parse_job(text).car.load_space
    assert (space.arch_height_m, space.arch_length_m, space.arch_from_seat_m) == (0, 0, 0)


def test_estimators_are_for_fields_that_exist_and_have_no_default() -> None:
    for estimator in ESTIMATORS:
        assert estimator.rule
        *parents, name = estimator.path.split(".")
        records: list[type[Record]] = [Car]
        for parent in parents:
            shapes = [k.shape for r in records for k in keys_of(r) if k.field == parent]
            records = [v for s in shapes if isinstance(s, Table) for v in s.variants.values()]
        found = [key for record in records for key in keys_of(record) if key.field == name]
        assert found, estimator.path
        assert all(key.required for key in found), estimator.path
