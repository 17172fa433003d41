"""How figures are written for a person."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.errors import InputError
from basswright.papers.writing import Writing

METRIC = Writing(language="en", lengths="metric", currency="EUR")
INCH = Writing(language="en-US", lengths="inch", currency="USD")
GERMAN = Writing(language="de", lengths="metric", currency="EUR")


def plain(text: str) -> str:
    """Return a text with ordinary spaces."""
    return re.sub(r"\s", " ", text)


@pytest.mark.parametrize(
    ("found", "wanted"),
    [
        (METRIC.length(0.6404), "640 mm"),
        (METRIC.distance(5.44), "5.4 m"),
        (METRIC.distance(0.45), "0.45 m"),
        (METRIC.volume(0.2944), "294 L"),
        (METRIC.mass(24.5), "24.5 kg"),
        (METRIC.torque(25.47), "25 N·m"),
        (METRIC.level(116.24), "116.2 dB"),
        (METRIC.frequency(31.5), "31.5 Hz"),
        (METRIC.frequency(40.0), "40 Hz"),
        (METRIC.current(0.022), "22 mA"),
        (METRIC.current(58.4), "58 A"),
        (METRIC.load(2.0), "2 Ω"),
        (METRIC.load(1.3333), "1.33 Ω"),
        (METRIC.share(0.0825), "8.25%"),
        (METRIC.share(0.8), "80%"),
        (METRIC.hours(4.75), "4.75 h"),
        (METRIC.milliseconds(0.0042), "4.20 ms"),
        (METRIC.signed(-4.5, "dB"), "−4.5 dB"),
        (METRIC.signed(1.5, "dB"), "+1.5 dB"),
        (METRIC.signed(-0.01, "dB"), "0.0 dB"),
        (METRIC.money(1213.32), "€1,213.32"),
        (METRIC.day(date(2026, 3, 9)), "9 March 2026"),
        (INCH.length(0.640), "25 3/16 in"),
        (INCH.length(25.25 * 0.0254), "25 1/4 in"),
        (INCH.length(0.0), "0 in"),
        (INCH.length(-0.0127), "−1/2 in"),
        (INCH.cone(0.3), "12 in"),
        (INCH.cone(0.165), "6 1/2 in"),
        (INCH.distance(3.048), "10.0 ft"),
        (INCH.volume(0.0283168466), "1.0 cu ft"),
        (INCH.mass(10.0), "22.0 lb"),
        (INCH.force(4448.2), "1,000 lbf"),
        (INCH.strength(8000.0), "1,790 lbf"),
        (INCH.torque(135.582), "100 lb·ft"),
        (INCH.money(196.7), "$196.70"),
        (INCH.day(date(2026, 3, 9)), "March 9, 2026"),
        (GERMAN.money(1213.32), "1.213,32 €"),
        (GERMAN.level(116.24), "116,2 dB"),
        (GERMAN.day(date(2026, 3, 9)), "9. März 2026"),
    ],
)
def test_a_figure_is_written_as_a_person_expects_it(found, wanted):
    assert plain(found) == wanted


@pytest.mark.parametrize(
    ("seconds", "wanted"),
    [(45, "45 s"), (300, "5 min"), (3600, "1 h"), (5400, "1.5 h"), (45000, "12 h"), (3599, "1 h")],
)
def test_a_duration_has_two_digits_and_its_unit(seconds, wanted):
    assert plain(METRIC.duration(seconds)) == wanted


@given(st.floats(0.0, 6.0))
def test_inches_are_within_half_a_sixteenth(length_m):
    words = plain(INCH.length(length_m)).removesuffix(" in").split(" ")
    written = float(sum(Fraction(word) for word in words))
    assert abs(written - length_m / 0.0254) <= 1 / 32 + 1e-9


@given(st.floats(0.01, 1e6))
def test_a_force_is_never_written_smaller_than_it_is(force_n):
    written = float(plain(METRIC.force(force_n)).removesuffix(" N").replace(",", ""))
    assert force_n * (1 - 1e-5) <= written <= max(force_n + 1, 1.011 * force_n)


@given(st.floats(0.01, 1e6))
def test_a_strength_is_never_written_greater_than_it_is(force_n):
    written = float(plain(METRIC.strength(force_n)).removesuffix(" N").replace(",", ""))
    assert min(force_n - 1, force_n / 1.011) <= written <= force_n * (1 + 1e-5)


def test_an_unknown_locale_is_refused_by_the_name_of_its_field():
    with pytest.raises(InputError, match=r"workshop\.language"):
        Writing(language="zz-zz-zz", lengths="metric", currency="EUR").money(1.0)
