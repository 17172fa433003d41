"""Fields come from the records, and show what a person can read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.jobs import parse_job, sample_text
from basswright.jobs.editing import changed
from basswright.web import words
from basswright.web.forms import field_at, fields_of
from basswright.web.tries import may_be_tried
from basswright.web.wish_pages import weight_sliders, wish_sliders

METRIC = parse_job(sample_text())
INCH = parse_job(sample_text("suv"))


def test_every_table_of_a_car_has_its_fields() -> None:
    for table, _, _ in words.CAR_SECTIONS:
        fields = fields_of(METRIC, table)
        assert fields
        assert all(field.label and field.path.startswith(table) for field in fields)


@pytest.mark.parametrize(
    ("path", "text", "unit"),
    [
        ("car.load_space.height", "540 mm", "mm"),
        ("car.charging.cable_route", "5.2 m", "m"),
        ("car.charging.standing_drain", "30 mA", "mA"),
        ("car.cabin.volume", "3186.3 L", "L"),
        ("wish.certainty", "80 %", "%"),
        ("wish.weights.ease", "0.5", ""),
        ("car.cabin.loss_factor", "0.17", ""),
    ],
)
def test_figures_are_shown_in_the_unit_that_a_person_uses(path: str, text: str, unit: str) -> None:
    field = field_at(METRIC, path)
    assert (field.text, field.unit) == (text, unit)
    assert field.figure == text.removesuffix(unit).strip()


def test_inches_are_shown_as_fractions_where_they_are_some() -> None:
    assert field_at(INCH, "car.load_space.height").text == "21 3/4 in"
    assert field_at(INCH, "wish.luggage_keep").text == "12 cu ft"


@given(st.integers(1, 1600))
def test_any_sixteenth_of_an_inch_reads_back_as_shown(sixteenths: int) -> None:
    job = changed(INCH, {"car.cabin.width": f"{40 + sixteenths % 60} {sixteenths % 16}/16 in"})
    text = field_at(job, "car.cabin.width").text
    assert changed(INCH, {"car.cabin.width": text}).car.cabin.width_m == pytest.approx(
        job.car.cabin.width_m
    )


def test_estimates_say_so_with_note_and_band() -> None:
    field = field_at(METRIC, "car.charging.alternator_idle")
    assert field.origin == "estimated"
    assert field.band == "48 A to 74.4 A"
    assert "half" in field.note


def test_sliders_hold_the_present_value() -> None:
    for job in (METRIC, INCH, changed(METRIC, {"wish.level": "149 dB", "wish.budget": "90000"})):
        for slider in [*wish_sliders(job), *weight_sliders(job)]:
            assert slider.low <= slider.value <= slider.high


def test_words_for_loudness_and_depth_change_with_the_figure() -> None:
    assert len({words.loudness(level) for level in (90, 100, 108, 114, 120, 140)}) == 6
    assert len({words.depth(limit) for limit in (60, 45, 35, 28, 22, 16)}) == 6


@pytest.mark.parametrize(
    ("path", "may"),
    [
        ("wish.budget", True),
        ("car.load_space.height", True),
        ("car.load_space.kind", False),
        ("car.name", False),
        ("id", False),
        ("wish.nothing", False),
    ],
)
def test_only_wishes_and_readings_of_the_space_may_be_tried(path: str, may: bool) -> None:
    assert may_be_tried(path) is may
