"""Changing single readings of a job."""

from __future__ import annotations

import pytest

from basswright.errors import InputErrors, NotFoundError
from basswright.jobs import parse_job, sample_text, write_job
from basswright.jobs.editing import (
    NOT_YET_READ,
    changed,
    confirmed,
    from_template,
    not_yet_read,
    template_names,
    with_assumed_unit,
)
from basswright.jobs.keys import Key
from basswright.jobs.reading import space_takes
from basswright.jobs.samples import space_tables
from basswright.jobs.table import find_key
from basswright.records.job import Job

JOB = parse_job(sample_text())


def key(path: str) -> Key:
    """Return the key of a dotted path."""
    found = find_key(Job, path)
    assert found is not None
    return found[1]


def test_a_changed_length_changes_what_is_estimated_from_it() -> None:
    job = changed(JOB, {"car.cabin.length": "2.6 m", "wish.budget": "900"})
    assert job.car.cabin.length_m == 2.6
    assert job.wish.budget == 900
    assert job.car.cabin.volume_m3 == pytest.approx(JOB.car.cabin.volume_m3 * 2.6 / 2.48)


def test_an_empty_text_takes_a_reading_out_again() -> None:
    job = changed(JOB, {"car.charging.cable_route": ""})
    assert job.car.origins["charging.cable_route_m"].kind == "estimated"
    assert job.car.charging.cable_route_m != JOB.car.charging.cable_route_m


def test_a_required_reading_cannot_be_taken_out() -> None:
    with pytest.raises(InputErrors, match=r"car\.cabin\.length: is missing"):
        changed(JOB, {"car.cabin.length": " "})


def test_a_bad_value_leaves_the_job_as_it_was() -> None:
    with pytest.raises(InputErrors, match="out of range"):
        changed(JOB, {"car.cabin.length": "40 m"})
    assert JOB.car.cabin.length_m == 2.48


@pytest.mark.parametrize("path", ["car.colour", "wish", "car.cabin.length_m", "", "car..x"])
def test_a_reading_that_does_not_exist_is_told(path: str) -> None:
    with pytest.raises((NotFoundError, InputErrors)):
        changed(JOB, {path: "1"})


@pytest.mark.parametrize("name", template_names())
def test_a_new_job_says_which_readings_come_from_the_template(name: str) -> None:
    job = from_template(name, job_id="new", title="New", customer="Somebody")
    waiting = not_yet_read(job)
    assert "car.load_space.height" in waiting
    assert "car.charging.battery_capacity" in waiting
    assert parse_job(write_job(job)) == job
    read = changed(job, {"car.load_space.height": "555 mm"})
    assert set(waiting) - set(not_yet_read(read)) == {"car.load_space.height"}


def test_a_template_figure_can_be_confirmed_as_it_stands() -> None:
    job = from_template("estate", job_id="new", title="New")
    sure = confirmed(job, "car.load_space.height")
    assert "car.load_space.height" not in not_yet_read(sure)
    assert sure.car.load_space == job.car.load_space


@pytest.mark.parametrize("kind", [kind for kind in space_tables() if space_takes(kind)])
def test_another_kind_of_space_starts_from_its_template(kind: str) -> None:
    other = "estate" if kind != "estate" else "suv"
    start = changed(JOB, {"car.load_space.kind": other})
    job = changed(start, {"car.load_space.kind": kind})
    assert job.car.load_space.kind == kind
    marked = [p for p, o in job.car.origins.items() if o.note == NOT_YET_READ]
    assert marked
    assert all(path.startswith("load_space.") for path in marked)
    assert parse_job(write_job(job)) == job


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("640", "mm", "640 mm"),
        ("25 1/4", "in", "25 1/4 in"),
        ("64 cm", "mm", "64 cm"),
        ("", "mm", ""),
        ("abc", "mm", "abc"),
    ],
)
def test_a_bare_number_takes_the_unit_that_the_field_shows(
    text: str, unit: str, expected: str
) -> None:
    assert with_assumed_unit(text, key("car.cabin.length"), unit) == expected


def test_a_number_without_a_kind_takes_no_unit() -> None:
    assert with_assumed_unit("600", key("wish.budget"), "mm") == "600"
