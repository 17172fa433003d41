"""Fuse families, short-circuit current, breaking capacity."""

from __future__ import annotations

import pytest

from basswright.supply.fuses import (
    SERIES,
    fuse_problems,
    fuse_resistance_ohm,
    short_circuit_a,
)
from tests.supply.sample import fuse


@pytest.mark.parametrize(
    ("family", "greatest_a", "breaking_a"),
    [
        ("blade", 40, 1000),
        ("maxi-blade", 100, 1000),
        ("strip-sf30", 200, 2000),
        ("strip-sf51", 500, 2000),
    ],
)
def test_families_keep_to_the_scope_of_their_standard(
    family: str, greatest_a: float, breaking_a: float
) -> None:
    """ISO 8820-3: up to 100 A, 1000 A; ISO 8820-5: 30 to 500 A, 2000 A."""
    series = next(value for key, value in SERIES.items() if key == family)
    assert series.ratings_a[-1] == greatest_a
    assert series.breaking_a == breaking_a
    assert list(series.ratings_a) == sorted(set(series.ratings_a))


def test_short_circuit_is_ohms_law_round_the_loop() -> None:
    """A battery of 6 mohm shorts at 12.65 V/6 mohm = 2108 A before anything else; the
    cable to the fuse, the fuse and the clamps come on top."""
    cca = 0.55 * (12.6 - 7.5) / 6e-3
    bare = 12.65 / 6e-3
    assert bare == pytest.approx(2108, abs=1)
    found = short_circuit_a(cca, 0.8e-3, 100.0)
    assert found == pytest.approx(12.65 / (6e-3 + 0.36e-3 + 0.6e-3 + 1e-3))
    assert found < bare


def test_a_stronger_battery_or_a_thicker_cable_shorts_harder() -> None:
    """Both lower the loop's resistance."""
    usual = short_circuit_a(640.0, 0.8e-3, 100.0)
    assert short_circuit_a(900.0, 0.8e-3, 100.0) > usual
    assert short_circuit_a(640.0, 0.3e-3, 100.0) > usual


def test_fuse_resistance_drops_sixty_millivolts() -> None:
    """At its rating, cold (from memory)."""
    assert fuse_resistance_ohm(100.0) * 100 == pytest.approx(0.06)


def test_odd_fuses_are_named() -> None:
    """A rating outside the series, a breaking capacity below the standard's."""
    odd = fuse_problems(fuse(137.0, family="strip-sf30", breaking_a=1000.0))
    assert len(odd) == 2
    assert "137 A" in odd[0]
    assert "2000 A" in odd[1]
    assert fuse_problems(fuse(100.0, family="strip-sf30", breaking_a=2000.0)) == ()


#: Ratings [A] of the standards' tables (from memory).
RATINGS_A = {
    "blade": "1 2 3 4 5 7.5 10 15 20 25 30 35 40",
    "maxi-blade": "20 25 30 35 40 50 60 70 80 100",
    "strip-sf30": "30 40 50 60 70 80 100 125 150 200",
    "strip-sf51": "60 80 100 125 150 175 200 225 250 300 350 400 450 500",
    "high-current": "35 40 50 60 80 100 130 150 175 200 225 250 275 300 325 350 "
    "400 500 600 675 750",
}


@pytest.mark.parametrize("family", RATINGS_A)
def test_ratings_are_those_of_the_standards(family: str) -> None:
    """ISO 8820-3 types C, F and E, ISO 8820-5 SF30 and SF51, SAE J1888; 32 V (from memory)."""
    series = next(value for key, value in SERIES.items() if key == family)
    assert " ".join(f"{rating:g}" for rating in series.ratings_a) == RATINGS_A[family]
    assert series.rated_voltage_v == 32
    assert SERIES["high-current"].breaking_a == 6000


def test_a_weak_high_current_fuse_is_judged_by_its_own_sheet() -> None:
    """Makers of that family state what each breaks; nothing is asked."""
    assert fuse_problems(fuse(100.0, family="high-current", breaking_a=2000.0)) == ()
