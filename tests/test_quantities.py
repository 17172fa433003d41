"""Figures as people write them.

Inch and pound: international yard and pound agreement, 1959 (1 in = 25.4 mm exactly,
1 lb = 0.45359237 kg exactly). The other factors are SI definitions.
"""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright import quantities
from basswright.errors import QuantityError
from basswright.quantities import (
    KIND_BY_SUFFIX,
    UNITS,
    kind_of,
    name_without_unit,
    number,
    read,
    read_conductor,
    read_load,
    read_power_range,
)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("640 mm", "length", 0.64),
        ("640mm", "length", 0.64),
        ("64 cm", "length", 0.64),
        ("0,64 m", "length", 0.64),
        (".64 m", "length", 0.64),
        ("1\u202f200,5 mm", "length", 1.2005),
        ("1'200 mm", "length", 1.2),
        ("1,234,567 mm", "length", 1234.567),
        ("25 1/4 in", "length", 25.25 * 0.0254),
        ("25-1/4\u2033", "length", 25.25 * 0.0254),
        ("25¼ inches", "length", 25.25 * 0.0254),
        ("½ in", "length", 0.0127),
        ("3/8 in", "length", 0.375 * 0.0254),
        ("5 ft 2 in", "length", 62 * 0.0254),
        ("5' 2 1/2\"", "length", 62.5 * 0.0254),
        ("5’2”", "length", 62 * 0.0254),
        ("6 ft", "length", 1.8288),
        ("640\u200b mm", "length", 0.64),
        ("450 cm²", "area", 0.045),
        ("10 sq in", "area", 10 * 0.0254**2),
        ("1.2 cu ft", "volume", 1.2 * 0.3048**3),
        ("35 L", "volume", 0.035),
        ("0.035 m³", "volume", 0.035),
        ("61.024 in3", "volume", 61.024 * 0.0254**3),
        ("44 lbs", "mass", 44 * 0.45359237),
        ("2 Ω", "resistance", 2.0),
        ("2 \u2126", "resistance", 2.0),
        ("6 mΩ", "resistance", 0.006),
        ("0.5 kW", "power", 500.0),
        ("400 W RMS", "power", 400.0),
        ("30 mA", "current", 0.03),
        ("13,8 V", "voltage", 13.8),
        ("0.08 kHz", "frequency", 80.0),
        ("−5 °", "angle", -5.0),
        ("86 F", "temperature", 30.0),
        ("300 K", "temperature", 26.85),
        ("65 Ah", "capacity", 65.0),
        ("114 dB", "level", 114.0),
        ("2 h", "time", 7200.0),
        ("1.5 mH", "inductance", 0.0015),
        ("470 µF", "capacitance", 470e-6),
        ("12 N/A", "force factor", 12.0),
        ("0.2 mm/N", "compliance", 2e-4),
        ("80 %", "share", 0.8),
        ("0.8", "share", 0.8),
        ("600", "money", 600.0),
        ("600 EUR", "money", 600.0),
        ("€ 1.299,50", "money", 1299.5),
        ("129,- €", "money", 129.0),
        ("1e3 mm", "length", 1.0),
        ("６４０ mm", "length", 0.64),
    ],
)
def test_a_figure_with_its_unit_becomes_the_figure_held_inside(
    text: str, kind: str, expected: float
) -> None:
    assert read(text, kind) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "why"),
    [
        ("640", "length", "unit is missing"),
        ("", "length", "not a length"),
        ("mm", "length", "not a length"),
        ("640 parsec", "length", "unknown unit 'parsec'"),
        ("640 kg", "length", "unknown unit"),
        ("1,200 mm", "length", "decimal or a thousands sign"),
        ("1.2.3 mm", "length", "groups of three"),
        ("1,2,3 mm", "length", "groups of three"),
        ("1.2,3,4 mm", "length", "mixed up"),
        ("nan mm", "length", "not a length"),
        ("inf mm", "length", "not a length"),
        ("1e999 mm", "length", "finite"),
        ("1e308 h", "time", "finite"),
        ("5 1/0 in", "length", "over zero"),
        ("5 ft 14 in", "length", "0 to 12 inches"),
        ("5 ft -2 in", "length", "0 to 12 inches"),
        ("5 m 2", "length", "unknown unit"),
        ("5² mm", "length", "raised"),
        ("1_000 mm", "length", "unknown unit"),
        ("0x10 mm", "length", "unknown unit"),
        ("9" * 5000 + " 1/2 in", "length", "too long"),
        ("5 MW", "power", "unknown unit 'MW'"),
        ("5 Mohm", "resistance", "unknown unit"),
        ("500 W peak", "power", "unknown unit"),
        ("-300 C", "temperature", "absolute zero"),
        ("20", "temperature", "unit is missing"),
        ("20 R", "temperature", "unknown unit"),
        ("600 bananas", "money", "not a number"),
        ("1,299 EUR", "money", "decimal or a thousands sign"),
        ("80 percents", "share", "unknown unit"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(text: str, kind: str, why: str) -> None:
    with pytest.raises(QuantityError, match=why) as caught:
        read(text, kind)
    assert caught.value.value == text


@pytest.mark.parametrize("kind", UNITS)
def test_every_kind_names_its_units(kind: str) -> None:
    assert quantities.allowed_units(kind)
    assert quantities.allowed_units(kind)[0] != ","


@given(st.text(max_size=30), st.sampled_from(sorted(UNITS)))
def test_any_text_gives_a_finite_figure_or_a_quantity_error(text: str, kind: str) -> None:
    with suppress(QuantityError):
        assert math.isfinite(read(text, kind))


@given(st.text(alphabet="0123456789.,'/- eE+½mMinft\"²x", max_size=20))
def test_nothing_that_looks_like_a_figure_breaks_the_reader(text: str) -> None:
    for reader in (number, read_load, read_conductor, read_power_range):
        with suppress(QuantityError):
            assert reader(text) is not None


@given(
    st.floats(1e-3, 1e6).map(lambda value: float(f"{value:.6g}")),
    st.sampled_from([(kind, unit) for kind in UNITS for unit in UNITS[kind]]),
)
def test_every_unit_scales_by_its_factor(value: float, kind_and_unit: tuple[str, str]) -> None:
    kind, unit = kind_and_unit
    text = f"{value!r} {unit}"
    assert read(text, kind) == pytest.approx(value * UNITS[kind][unit], rel=1e-12)
    negative = kind != "temperature"
    assert not negative or read(f"-{text}", kind) == pytest.approx(-read(text, kind), rel=1e-12)


@given(st.integers(0, 10**7), st.integers(0, 99))
def test_both_ways_of_writing_thousands_agree(whole: int, cents: int) -> None:
    english = f"{whole:,}.{cents:02d}"
    continental = english.translate(str.maketrans(",.", ".,"))
    assert number(english) == number(continental) == pytest.approx(whole + cents / 100)


@given(st.integers(0, 99), st.integers(1, 15))
def test_fractions_of_an_inch_add_up(whole: int, over: int) -> None:
    assert read(f"{whole} {over}/16 in", "length") == pytest.approx((whole + over / 16) * 0.0254)


@pytest.mark.parametrize(
    ("text", "decimal", "expected"),
    [("1,200", ".", 1200.0), ("1,200", ",", 1.2), ("1.200", ",", 1200.0), ("1.200", "", 1.2)],
)
def test_a_known_decimal_sign_settles_what_may_be_two_numbers(
    text: str, decimal: str, expected: float
) -> None:
    assert number(text, decimal=decimal) == expected


def test_a_number_against_the_known_decimal_sign_is_refused() -> None:
    with pytest.raises(QuantityError):
        number("1.5", decimal=",")


@pytest.mark.parametrize(
    ("text", "coils", "ohm"),
    [("2 ohm", 1, 2.0), ("2x4 ohm", 2, 4.0), ("2 × 4Ω", 2, 4.0), ("4*1,5 ohm", 4, 1.5)],
)
def test_a_load_is_coils_of_ohms(text: str, coils: int, ohm: float) -> None:
    load = read_load(text)
    assert (load.coils, load.ohm) == (coils, ohm)


@pytest.mark.parametrize("text", ["0x4 ohm", "2x0 ohm", "2x4", "99x4 ohm", "-4 ohm", "x4 ohm"])
def test_a_load_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        read_load(text)


@pytest.mark.parametrize(
    ("text", "series", "name"),
    [
        ("4 AWG", "AWG", "4"),
        ("4awg", "AWG", "4"),
        ("1/0 AWG", "AWG", "1/0"),
        ("0 AWG", "AWG", "1/0"),
        ("00 AWG", "AWG", "2/0"),
        ("8 SAE", "SAE", "8"),
        ("25 mm2", "mm2", "25"),
        ("25mm²", "mm2", "25"),
        ("2,5 qmm", "mm2", "2.5"),
    ],
)
def test_a_conductor_keeps_its_series(text: str, series: str, name: str) -> None:
    size = read_conductor(text)
    assert (size.series, size.name) == (series, name)


@pytest.mark.parametrize("text", ["4 gauge", "4 ga", "4", "0 mm2", "9/0 AWG", "-4 AWG", "4 mm"])
def test_a_conductor_without_a_clear_series_or_size_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        read_conductor(text)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("125-400 W RMS", 125, 400),
        ("125 – 400W", 125, 400),
        ("125 to 400 W", 125, 400),
        ("0.5-1.2 kW", 500, 1200),
        ("500 W - 1.2 kW", 500, 1200),
        ("400 W", 400, 400),
    ],
)
def test_a_power_range_has_two_ends(text: str, low: float, high: float) -> None:
    power = read_power_range(text)
    assert (power.low_w, power.high_w) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("400-125 W", "upside down"),
        ("800 W max", "peak figure"),
        ("800 W peak", "peak figure"),
        ("125-400", "unit is missing|unknown|not a power"),
        ("0-400 W", "more than 0 W"),
        ("-400 W", "more than 0 W"),
    ],
)
def test_a_power_range_that_is_none_is_refused(text: str, why: str) -> None:
    with pytest.raises(QuantityError, match=why):
        read_power_range(text)


def test_the_ending_of_a_name_tells_its_kind() -> None:
    assert kind_of("width_above_arches_m") == "length"
    assert kind_of("compliance_m_per_n") == "compliance"
    assert kind_of("loss_factor") is None
    assert name_without_unit("compliance_m_per_n") == "compliance"
    assert name_without_unit("loss_factor") == "loss_factor"
    assert set(KIND_BY_SUFFIX.values()) <= set(UNITS)


def test_figures_are_written_for_a_person() -> None:
    assert quantities.millimetres(0.6404) == "640 mm"
    assert quantities.litres(0.0354) == "35 L"
    assert quantities.litres(0.00354) == "3.5 L"
    assert quantities.decibels(114.04) == "114.0 dB"
