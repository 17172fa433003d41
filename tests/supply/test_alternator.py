"""Alternator output over speed, and the balance of ways of driving."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.supply.alternator import IDLE_RPM, limit_a, output_a
from basswright.supply.charging import SITUATIONS, TOWN_SPEED_SHARE, alternator_a, balances
from tests.supply.sample import charging


def test_the_curve_meets_a_makers_sheet() -> None:
    """A 50 A type, hot: 16 A at 1300, 41 A at 2500, 48 A at 5000 1/min; fitted through
    its ends, the middle comes out within 4 %."""
    curve = output_a([1300.0, 2500.0, 5000.0], rated_a=48.2, idle_a=16.0, idle_rpm=1300.0)
    assert curve == pytest.approx([16, 41, 48], rel=0.04)


def test_the_curve_meets_an_iso_8854_label() -> None:
    """70/140 A: half at 1500, all at 6000 1/min, nothing below the cut-in speed."""
    curve = output_a([900.0, 1500.0, 6000.0], rated_a=140.0, idle_a=70.0, idle_rpm=1500.0)
    assert curve == pytest.approx([0, 70, 140])


def test_output_rises_with_speed_and_never_exceeds_the_rating_by_much() -> None:
    """Over all engine speeds."""
    curve = limit_a(np.linspace(0, 7000, 50), rated_a=120.0, idle_a=60.0)
    assert np.all(np.diff(curve) >= 0)
    assert curve.max() < 125
    assert limit_a(IDLE_RPM, rated_a=120.0, idle_a=60.0) == pytest.approx(60)
    # pulley 2.5: 1500 at the engine is 3750 at the alternator, idle 750 is 1875
    turned = output_a(3750.0, rated_a=120.0, idle_a=60.0, idle_rpm=1875.0)
    assert limit_a(1500.0, rated_a=120.0, idle_a=60.0) == pytest.approx(turned)
    assert output_a(1001.0, rated_a=120.0, idle_a=60.0, idle_rpm=1875.0) > 0


def test_town_speed_of_the_balance_is_that_of_the_curve() -> None:
    """1500 engine rpm gives about three quarters of the way from idle to rated."""
    at_town = limit_a(1500.0, rated_a=120.0, idle_a=60.0)
    assert (at_town - 60) / 60 == pytest.approx(TOWN_SPEED_SHARE, abs=0.06)


def test_situations_follow_speed_and_heat() -> None:
    """Idle hot is the weakest, the motorway gives the rating."""
    given = {s.name: float(alternator_a(s, 120.0, 60.0)) for s in SITUATIONS}
    assert given["idle, night, hot"] == pytest.approx(48)
    assert given["idle, day"] == pytest.approx(60)
    assert given["town, night, hot"] == pytest.approx(0.35 * 48 + 0.65 * 105)
    assert given["motorway, night"] == pytest.approx(120)


def test_by_day_a_car_draws_little_more_than_half_of_its_load_by_night() -> None:
    """0.55 of 45 A (common practice, no source); every balance is what is given less that."""
    car = charging(base_load_a=45.0)
    found = {b.situation: b for b in balances(car, 20.0, rated_a=120.0, idle_a=60.0)}
    assert found["idle, day"].base_load_a == found["town, day"].base_load_a == pytest.approx(24.75)
    assert found["idle, night, hot"].base_load_a == 45.0
    assert found["idle, day"].alternator_a == pytest.approx(60.0)
    assert found["town, day"].balance_a == pytest.approx(0.35 * 60 + 0.65 * 105 - 24.75 - 20)
