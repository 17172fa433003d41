"""Charts for the screen."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.papers import charts
from tests.papers.samples import prediction

LOUD = prediction(top_db=119.0, corner_hz=34.0, ported=True)
SOFT = prediction(top_db=104.0, corner_hz=48.0, ported=False)


def rows_of(specification: dict) -> list[dict]:
    """Return the data of the first layer, which may be shared by all of them."""
    return values_of(specification, specification["layer"][0])


def values_of(specification: dict, layer: dict) -> list[dict]:
    """Return the data of a layer, wherever it is kept."""
    source = layer.get("data") or specification["data"]
    return source["values"] if "values" in source else specification["datasets"][source["name"]]


def test_response_shows_the_level_of_each_system_at_each_frequency():
    chart = charts.specification(charts.response([LOUD, SOFT], ["first", "second"]))
    for name, told in (("first", LOUD), ("second", SOFT)):
        mine = [row for row in rows_of(chart) if row["system"] == name]
        frequency = np.array([row["frequency"] for row in mine])
        level = np.interp(np.log(frequency), np.log(told.frequency_hz), told.loudest_db)
        assert np.allclose([row["level"] for row in mine], level, atol=0.02)
        assert all(row["low"] < row["level"] < row["high"] for row in mine)


def test_response_draws_the_wishes_where_they_are():
    chart = charts.specification(charts.response([LOUD], ["a"], wished_db=112.5, low_limit_hz=31))
    drawn = [row for layer in chart["layer"][2:] for row in values_of(chart, layer)]
    assert drawn == [{"level": 112.5}, {"frequency": 31}]


def test_systems_are_told_apart_by_dash_as_well_as_by_colour():
    chart = charts.specification(charts.response([LOUD, SOFT], ["a", "b"]))
    encoding = chart["layer"][1]["encoding"]
    for channel in ("color", "strokeDash"):
        shown = encoding[channel]["scale"]["range"]
        assert len({str(value) for value in shown}) == 2


def test_limits_name_what_decides():
    rows = rows_of(charts.specification(charts.limits(LOUD)))
    assert {row["limit"] for row in rows} == {
        "cone excursion",
        "amplifier voltage",
        "port air speed",
    }
    lowest = min(rows, key=lambda row: row["frequency"])
    assert lowest["limit"] == "cone excursion"


@pytest.mark.parametrize(
    ("name", "factor", "curve"),
    [
        ("impedance", 1, lambda told: np.abs(told.impedance_ohm)),
        ("excursion", 1000, lambda told: told.excursion_m),
        ("port_speed", 1, lambda told: told.port_speed_m_per_s),
        ("group_delay", 1000, lambda told: told.group_delay_s),
        ("cabin_gain", 1, lambda told: told.cabin_gain_db),
    ],
)
def test_each_curve_is_in_the_unit_that_its_axis_names(name, factor, curve):
    chart = charts.specification(getattr(charts, name)([LOUD], ["a"]))
    row = min(rows_of(chart), key=lambda row: abs(row["frequency"] - 40))
    at = np.argmin(np.abs(LOUD.frequency_hz - row["frequency"]))
    assert row["value"] == pytest.approx(factor * curve(LOUD)[at], rel=1e-3)


@pytest.mark.parametrize("names", [[], ["a"], ["a", "a"]])
def test_names_that_do_not_match_are_refused(names):
    with pytest.raises(InputError):
        charts.response([LOUD, SOFT], names)


def test_more_systems_than_can_be_told_apart_are_refused():
    with pytest.raises(InputError, match="seven"):
        charts.response([LOUD] * 8, [str(index) for index in range(8)])


def test_a_drawing_is_svg_with_the_name_of_its_axis():
    drawn = charts.svg(charts.response([LOUD], ["a"], wished_db=115.0))
    root = ElementTree.fromstring(drawn)
    assert root.tag.endswith("svg")
    assert "Level at the ear in dB" in "".join(root.itertext())
