"""Charging systems that cannot be."""

from __future__ import annotations

import pytest

from basswright.supply.plausible import charging_problems
from tests.supply.sample import charging


def test_a_common_car_raises_no_question() -> None:
    """120 A, 70 Ah, 640 A."""
    assert charging_problems(charging()) == ()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"battery_cca_a": 1900.0, "battery_capacity_ah": 44.0}, "battery_cca_a"),
        ({"battery_cca_a": 120.0, "battery_capacity_ah": 95.0}, "battery_cca_a"),
        ({"alternator_idle_a": 120.0}, "alternator_idle_a"),
        ({"alternator_idle_a": 10.0}, "alternator_idle_a"),
        ({"base_load_a": 115.0}, "base_load_a"),
        ({"standing_drain_a": 0.5}, "standing_drain_a"),
    ],
)
def test_impossible_figures_are_named_with_what_to_measure(
    changes: dict[str, float], field: str
) -> None:
    """The field, and what to read."""
    problem = charging_problems(charging(**changes))[0]
    assert problem.field == field
    assert problem.ask


#: Cold-cranking current over capacity, lowest and highest [A/Ah] (common practice).
CCA_PER_AH = {
    "flooded": (5.0, 13.0),
    "efb": (6.0, 14.0),
    "agm": (6.0, 16.0),
    "gel": (3.0, 13.0),
    "lithium": (5.0, 40.0),
}


@pytest.mark.parametrize("kind", CCA_PER_AH)
def test_cranking_current_for_an_ampere_hour_has_two_ends(kind: str) -> None:
    """Just inside raises no question, half a per cent outside does."""
    low, high = CCA_PER_AH[kind]
    for ratio, asked in ((low, 0), (high, 0), (0.995 * low, 1), (1.005 * high, 1)):
        car = charging(battery_kind=kind, battery_capacity_ah=40.0, battery_cca_a=ratio * 40.0)
        assert len(charging_problems(car)) == asked, ratio


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({"alternator_idle_a": 24.1}, 0),
        ({"alternator_idle_a": 23.9}, 1),
        ({"base_load_a": 107.9}, 0),
        ({"base_load_a": 108.1}, 1),
        ({"standing_drain_a": 0.1199}, 0),
        ({"standing_drain_a": 0.1201}, 1),
    ],
)
def test_the_other_bounds_are_where_the_documentation_says(
    changes: dict[str, float], asked: int
) -> None:
    """A fifth of the rated output, nine tenths of it, 120 mA (common practice, no source)."""
    assert len(charging_problems(charging(**changes))) == asked


def test_the_drain_is_told_in_milliamperes() -> None:
    """0.25 A is 250 mA."""
    assert "250 mA" in charging_problems(charging(standing_drain_a=0.25))[0].problem
