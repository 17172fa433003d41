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
