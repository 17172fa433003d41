"""The printed charts of a job: in the units that their axes name."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np
import pytest

from basswright.papers.language import language
from basswright.papers.prints import chart_figures, limit_name
from basswright.papers.settings import tuning_facts
from tests.papers.samples import vented
from tests.papers.test_plotting import SVG, label_positions, points


@pytest.fixture(scope="module")
def charts():
    """Each chart of the plain sample as a tree, by name."""
    sample = vented()
    settings = tuning_facts(sample.job, sample.option, sample.tuning)
    drawn = chart_figures(sample.prediction, sample.job, settings)
    return {figure.name: ElementTree.fromstring(figure.svg) for figure in drawn}


def read_off(root, curve, frequency_hz):
    """Return the level of a curve at a frequency, read off the axes."""
    beside, below = label_positions(root, "y"), label_positions(root, "x")
    low, high = min(beside), max(beside)
    per_unit = (beside[high] - beside[low]) / (high - low)
    octaves = np.log(frequency_hz / 20) / np.log(2)
    x = below[20] + octaves * (below[40] - below[20])
    y = np.interp(x, curve[:, 0], curve[:, 1])
    return low + (y + 4.5 - beside[low]) / per_unit


@pytest.mark.parametrize("frequency_hz", [15.0, 34.0, 80.0])
@pytest.mark.parametrize(
    ("name", "field", "factor", "tolerance"),
    [("excursion", "excursion_m", 1000.0, 0.05), ("impedance", "impedance_ohm", 1.0, 0.12)],
)
def test_a_small_chart_shows_the_prediction(charts, frequency_hz, name, field, factor, tolerance):
    prediction = vented().prediction
    values = factor * np.abs(getattr(prediction, field))
    wanted = np.interp(np.log(frequency_hz), np.log(prediction.frequency_hz), values)
    root = charts[name]
    found = read_off(root, points(root, "polyline"), frequency_hz)
    assert found == pytest.approx(wanted, abs=tolerance)


@pytest.mark.parametrize("frequency_hz", [15.0, 34.0, 80.0])
@pytest.mark.parametrize(
    ("which", "field"), [(0, "loudest_low_db"), (1, "loudest_high_db"), (2, "loudest_db")]
)
def test_the_level_chart_shows_middle_and_band(charts, frequency_hz, which, field):
    prediction = vented().prediction
    values = getattr(prediction, field)
    wanted = np.interp(np.log(frequency_hz), np.log(prediction.frequency_hz), values)
    root = charts["response"]
    lines = [
        np.array([pair.split(",") for pair in line.get("points").split()], dtype=float)
        for line in root.iter(f"{SVG}polyline")
    ]
    assert read_off(root, lines[which], frequency_hz) == pytest.approx(wanted, abs=0.25)


def test_the_level_chart_ends_in_whole_tens_above_the_band(charts):
    beside = label_positions(charts["response"], "y")
    assert (min(beside), max(beside)) == (70, 130)


def test_limits_that_the_language_does_not_know_keep_their_name():
    assert limit_name("cone excursion", language("en")) == "cone travel"
    assert limit_name("cone excursion", language("de")) == "Weg der Membran"
    assert limit_name("something new", language("en")) == "something new"
