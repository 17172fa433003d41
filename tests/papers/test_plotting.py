"""Charts for paper: every point where the axes say that it is."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from basswright.papers.plotting import Axes, Band, Line, Mark, plot
from basswright.papers.strip import Strip

SVG = "{http://www.w3.org/2000/svg}"
FREQUENCY = np.geomspace(10.0, 200.0, 41)
AXES = Axes(frequency="Frequency", level="Level", low=60.0, high=120.0)


STRIP = Strip(
    stretches=((10.0, 40.0, 3), (40.0, 100.0, 1), (100.0, 200.0, 3), (200.0, 200.0, 0)),
    names=("never", "heat", "never too", "travel"),
)


def drawn(*items, axes=AXES, strip=None):
    """Return the drawing as a tree."""
    return ElementTree.fromstring(plot(FREQUENCY, items, axes=axes, strip=strip))


def points(root, name):
    """Return the points of the first element of that name, shape (n, 2)."""
    text = root.find(f".//{SVG}{name}").get("points")
    return np.array([pair.split(",") for pair in text.split()], dtype=float)


def label_positions(root, axis):
    """Return the numbers printed beside an axis and where they stand."""
    anchor = {"x": "middle", "y": "end"}[axis]
    found = {}
    for text in root.iter(f"{SVG}text"):
        shown = "".join(text.itertext())
        if text.get("anchor", text.get("text-anchor")) == anchor and re.fullmatch(r"\d+", shown):
            found[float(shown)] = float(text.get(axis))
    return found


def test_frequencies_are_spaced_by_their_logarithm():
    places = label_positions(drawn(Line(values=np.full(41, 90.0))), "x")
    assert places[40] - places[20] == pytest.approx(places[80] - places[40], abs=0.15)
    assert places[200] - places[20] == pytest.approx((places[100] - places[10]), abs=0.15)


def test_the_ends_of_the_axis_are_the_edges_of_the_field():
    root = drawn(Line(values=np.full(41, 90.0)))
    places = label_positions(root, "x")
    field = next(rect for rect in root.iter(f"{SVG}rect") if rect.get("fill") == "none")
    left, width = float(field.get("x")), float(field.get("width"))
    assert (places[10], places[200]) == pytest.approx((left, left + width), abs=0.1)
    assert places[40] == pytest.approx(left + width * np.log(4) / np.log(20), abs=0.1)


def test_a_stretch_reaches_from_its_lowest_to_its_highest_frequency():
    root = drawn(Line(values=np.full(41, 90.0)), strip=STRIP)
    places = label_positions(root, "x")
    ends = [
        (float(rect.get("x")), float(rect.get("x")) + float(rect.get("width")))
        for rect in root.iter(f"{SVG}rect")
        if rect.get("height") == "20.0"
    ]
    wanted = [(places[10], places[40]), (places[40], places[100]), (places[100], places[200])]
    assert np.allclose(ends, wanted, atol=0.15)


def test_a_curve_passes_through_its_levels():
    values = np.linspace(60, 120, 41)
    root = drawn(Line(values=values))
    along = points(root, "polyline")
    beside = label_positions(root, "y")
    slope = (beside[120] - beside[60]) / 60
    read = 60 + (along[:, 1] - (beside[60] - 4.5)) / slope
    assert np.allclose(read, values, atol=0.1)


def test_a_curve_passes_through_its_frequencies():
    root = drawn(Line(values=np.full(41, 90.0)))
    along, places = points(root, "polyline"), label_positions(root, "x")
    at = np.interp(np.log(40.0), np.log(FREQUENCY), along[:, 0])
    assert at == pytest.approx(places[40], abs=0.1)


def test_a_band_goes_out_along_the_top_and_back_along_the_bottom():
    low, high = np.full(41, 80.0), np.full(41, 100.0)
    around = points(drawn(Band(low=low, high=high)), "polygon")
    assert len(around) == 82
    assert np.all(around[:41, 1] < around[41:, 1])
    assert np.allclose(around[:41, 0], around[41:, 0][::-1])


def test_axes_without_ends_hold_every_value_in_round_steps():
    root = drawn(
        Line(values=np.linspace(3.0, 21.4, 41)),
        axes=Axes(frequency="f", level="Z", low=0.0),
    )
    shown = sorted(label_positions(root, "y"))
    assert shown == [0, 5, 10, 15, 20, 25]


def test_marks_and_stretches_are_named():
    root = drawn(
        Line(values=np.full(41, 90.0)),
        Mark(name="wished level", level=100.0),
        Mark(name="low limit", frequency_hz=30.0),
        strip=STRIP,
    )
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert {"wished level", "low limit", "heat", "travel"} <= set(words)


def test_a_stretch_carries_the_letter_that_the_key_gives_its_name():
    words = [
        ("".join(text.itertext()), float(text.get("x")), float(text.get("y")))
        for text in drawn(Line(values=np.full(41, 90.0)), strip=STRIP).iter(f"{SVG}text")
    ]
    foot = max(y for word, _, y in words if word == "40")
    letters = [
        word
        for word, _, y in sorted(words, key=lambda one: one[1])
        if len(word) == 1 and word.isalpha() and y < foot
    ]
    assert letters == ["a", "b", "a"]
    key = [word for word, _, y in sorted(words, key=lambda one: one[1]) if y > foot + 25]
    assert key == ["a", "travel", "b", "heat"]


def test_a_key_that_is_longer_than_the_chart_goes_on_in_the_next_row():
    names = tuple(f"a rather long name of a limit, number {index}" for index in range(4))
    stretches = tuple((10.0 * 2**i, 20.0 * 2**i, i) for i in range(4))
    root = drawn(Line(values=np.full(41, 90.0)), strip=Strip(stretches=stretches, names=names))
    height = float(root.get("viewBox").split()[3])
    rows = {text.get("y") for text in root.iter(f"{SVG}text") if "".join(text.itertext()) in names}
    assert len(rows) == 4
    assert max(float(y) for y in rows) < height - 2


@pytest.mark.parametrize(("values", "anchor"), [((70, 110), "start"), ((110, 70), "end")])
def test_the_name_of_a_level_stands_where_the_curve_is_far(values, anchor):
    root = drawn(Line(values=np.linspace(*values, 41)), Mark(name="wished", level=109.0))
    found = [text for text in root.iter(f"{SVG}text") if "".join(text.itertext()) == "wished"]
    assert {text.get("text-anchor") for text in found} == {anchor}


def test_words_are_escaped():
    root = drawn(Mark(name="<b>&", level=100.0))
    assert "<b>&" in ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def test_the_same_input_gives_the_same_drawing():
    line = Line(values=np.linspace(70, 110, 41))
    assert plot(FREQUENCY, [line], axes=AXES) == plot(FREQUENCY, [line], axes=AXES)
