"""Battery figures against published definitions and tables."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.supply.battery import (
    PEUKERT,
    USABLE_SHARE,
    discharge_current_a,
    discharge_s,
    peukert_exponent,
    rest_share,
    rest_voltage,
    standing_s,
    warm_resistance_ohm,
)


def test_the_rated_current_lasts_twenty_hours() -> None:
    """The definition of the 20-hour capacity; t = 20 (I20/I)^k."""
    assert discharge_s(3.5, 70.0, 1.25) == pytest.approx(20 * 3600)
    assert discharge_s(7.0, 70.0, 1.25) == pytest.approx(20 * 3600 / 2**1.25)


def test_peukert_from_reserve_capacity() -> None:
    """70 Ah and 120 min at 25 A (SAE J537 reserve capacity): k = 1.171; and back."""
    k = peukert_exponent(70.0, 120 * 60)
    assert k == pytest.approx(1.171, abs=5e-4)
    assert discharge_s(25.0, 70.0, k) == pytest.approx(120 * 60)


def test_exponents_are_the_middle_of_the_published_ranges() -> None:
    """1.2 to 1.3 flooded, 1.05 to 1.15 AGM; the others in between or below."""
    assert PEUKERT["flooded"] == pytest.approx((1.2 + 1.3) / 2)
    assert PEUKERT["agm"] == pytest.approx((1.05 + 1.15) / 2)
    order = ("lithium", "agm", "gel", "efb", "flooded")
    assert [PEUKERT[kind] for kind in order] == sorted(PEUKERT.values())


@given(st.floats(60, 86400), st.floats(20, 400), st.floats(1.0, 1.3), st.floats(0.1, 1.0))
def test_current_and_time_are_inverse(
    time_s: float, capacity_ah: float, exponent: float, share: float
) -> None:
    """The current that lasts a time lasts that time."""
    current = discharge_current_a(time_s, capacity_ah, exponent, share)
    assert discharge_s(current, capacity_ah, exponent, share) == pytest.approx(time_s)


def test_no_current_lasts_for_good() -> None:
    """Zero or charging: ten years, never infinite."""
    assert np.all(discharge_s([0.0, -5.0], 70.0, 1.2) == pytest.approx(3.1536e8))


@pytest.mark.parametrize(
    ("rest_v", "share"), [(12.65, 1.0), (12.45, 0.75), (12.24, 0.5), (12.06, 0.25), (11.89, 0.0)]
)
def test_rested_voltage_tells_the_charge(rest_v: float, share: float) -> None:
    """Table for flooded batteries, specific gravity 1.265 to 1.120."""
    assert rest_share(rest_v) == pytest.approx(share)
    assert rest_voltage(share) == pytest.approx(rest_v)


@pytest.mark.parametrize(("cca_a", "cold_mohm"), [(450.0, 11.33), (600.0, 8.5), (800.0, 6.375)])
def test_inner_resistance_from_cold_cranking(cca_a: float, cold_mohm: float) -> None:
    """(12.6 - 7.5)/CCA cold (EN), about half of that warm; a healthy battery lies below
    10 mohm (repair guide)."""
    warm = float(warm_resistance_ohm(cca_a)) * 1e3
    assert warm / cold_mohm == pytest.approx(0.55, rel=1e-3)
    assert warm < 10


def test_days_in_the_garage() -> None:
    """0.4 of what the battery still holds over the drain: 60 Ah new-for-old 0.85, 50 mA
    is 17 days; at 90 % charge a quarter less; half the drain twice as long."""
    day = 86400
    full = standing_s(0.05, 60.0, "flooded")
    assert full / day == pytest.approx(0.4 * 0.85 * 60 / 0.05 / 24)
    assert standing_s(0.05, 60.0, "flooded", 0.9) / full == pytest.approx(0.75)
    assert standing_s(0.025, 60.0, "flooded") / full == pytest.approx(2)
    assert standing_s(0.05, 60.0, "flooded", 0.5) == 0.0
    assert np.isfinite(standing_s(0.0, 60.0, "flooded"))


def test_without_a_share_all_of_the_charge_counts() -> None:
    """The 20-hour current for 20 hours; 70 Ah in one hour at k = 1.25: 3.5 A x 20^0.8."""
    assert discharge_current_a(20 * 3600.0, 70.0, 1.25) == pytest.approx(3.5)
    assert discharge_current_a(3600.0, 70.0, 1.25) == pytest.approx(3.5 * 20**0.8)


def test_planning_values_are_those_of_the_documentation() -> None:
    """Regression of the stated planning values: 40 % of a lead-acid battery may be used (a
    battery maker's bulletin), 60 % of a lithium one (common practice, no source)."""
    assert PEUKERT == {"flooded": 1.25, "efb": 1.20, "agm": 1.10, "gel": 1.15, "lithium": 1.05}
    lead = dict.fromkeys(("flooded", "efb", "agm", "gel"), 0.40)
    assert {kind: USABLE_SHARE[kind] for kind in lead} == lead
    assert USABLE_SHARE["lithium"] == 0.60
    assert standing_s(0.1, 100.0, "lithium") == pytest.approx(0.6 * 85 / 0.1 * 3600)
    assert standing_s(0.0, 100.0, "agm") == pytest.approx(10 * 365 * 86400)
