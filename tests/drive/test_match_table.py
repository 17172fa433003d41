"""Zones, gain and margins of every output on every box."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.drive import LIMITS, UNSAFE_SHARE, ZONES, match_table, outputs
from tests.drive.sample import amplifier, mono, stereo


def _zone(low: float, high: float, power: float = 300.0) -> str:
    table = match_table(
        [4.0], [low], [high], outputs([amplifier({"single": {4.0: power}})]), supply_voltage_v=14.4
    )
    return ZONES[int(table.zone_index[0, 0])]


def test_zones_follow_the_range() -> None:
    """Below, inside, above with the gain set, unsafe; ends belong to the inside."""
    assert _zone(301, 400) == "too little"
    assert _zone(300, 400) == "inside"
    assert _zone(100, 300) == "inside"
    assert _zone(100, 299) == "above, gain set"
    assert _zone(50, 100) == "above, gain set"
    assert _zone(50, 99.9) == "unsafe"


def test_gain_voltage_is_that_of_the_power_used() -> None:
    """sqrt(P R): 200 W into 4 ohm is 28.28 V although 300 W are there; 1 dB says so."""
    table = match_table([4.0], [100.0], [200.0], outputs([mono()]), supply_voltage_v=14.4)
    assert table.used_w[0, 0] == pytest.approx(200)
    assert table.voltage_limit_v[0, 0] == pytest.approx(28.284, abs=1e-3)
    assert table.below_top_db[0, 0] == 0.0
    lesser = match_table([4.0], [100.0], [600.0], outputs([mono()]), supply_voltage_v=14.4)
    assert lesser.below_top_db[0, 0] == pytest.approx(3.0103, abs=1e-4)
    assert lesser.voltage_limit_v[0, 0] == pytest.approx(np.sqrt(1200))


def test_current_limit_is_that_of_the_lowest_rating() -> None:
    """800 W into 1 ohm: 28.3 A, less with the supply."""
    table = match_table([4.0], [100.0], [200.0], outputs([mono()]), supply_voltage_v=13.0)
    assert table.current_limit_a[0, 0] == pytest.approx(np.sqrt(800) * 13.0 / 14.4)


def test_a_forbidden_load_is_unsafe_and_told_in_ohms() -> None:
    """2 ohm on an output that allows 4."""
    table = match_table([2.0], [100.0], [200.0], outputs([stereo()]), supply_voltage_v=14.4)
    assert table.available_w[0].tolist() == pytest.approx([120, 0])
    verdict = table.verdict(0, 1)
    assert ZONES[int(table.zone_index[0, 1])] == "unsafe"
    assert (verdict.passes, verdict.unit, verdict.margin) == (False, "ohm", -2.0)
    assert verdict.relief is not None
    assert verdict.relief.amount == 2.0
    assert table.current_limit_a[0, 1] == 0.0


def test_relief_names_the_watts_that_are_missing_or_too_many() -> None:
    """In watts at the load."""
    table = match_table(
        [4.0, 4.0], [400.0, 20.0], [500.0, 50.0], outputs([mono()]), supply_voltage_v=14.4
    )
    little, much = table.verdict(0, 0), table.verdict(1, 0)
    assert little.relief is not None
    assert much.relief is not None
    assert little.relief.amount == pytest.approx(100)
    assert much.relief.amount == pytest.approx(300 - UNSAFE_SHARE * 50)
    assert little.margin == pytest.approx(10 * np.log10(300 / 400))
    assert much.limit == LIMITS[1]


def test_missing_range_is_estimated_and_flagged() -> None:
    """No NaN comes out, and no such pair is sure."""
    table = match_table(
        [4.0, np.nan, 4.0],
        [np.nan, 50.0, 250.0],
        [np.nan, 100.0, np.nan],
        outputs([mono(), stereo()]),
        supply_voltage_v=14.4,
    )
    assert table.range_estimated.tolist() == [True, False, True]
    assert not table.sure[0].any()
    assert not table.sure[2].any()
    assert table.power_high_w[2] >= 250
    for name in ("available_w", "used_w", "voltage_limit_v", "below_top_db", "margin_db"):
        assert np.all(np.isfinite(getattr(table, name))), name
    assert table.verdict(1, 0).limit == "the load is not known"
    assert table.verdict(1, 0).relief is not None


def test_a_rating_far_from_the_load_is_not_sure() -> None:
    """One rating at 4 ohm tells little of 1 ohm."""
    far = outputs([amplifier({"single": {4.0: 300.0}}, lowest_load_ohm=1.0)])
    table = match_table([1.0, 3.0], [10.0] * 2, [1000.0] * 2, far, supply_voltage_v=14.4)
    assert table.sure[:, 0].tolist() == [False, True]


@given(
    st.lists(st.sampled_from([0.5, 1.0, 2.0, 2.67, 4.0, 8.0]), min_size=1, max_size=5),
    st.floats(5, 500),
    st.floats(1.0, 10.0),
    st.floats(11, 15),
)
def test_the_gain_never_lets_the_box_have_more_than_its_top(
    loads: list[float], low: float, width: float, supply_v: float
) -> None:
    """Power at the gain voltage stays within the range's top and what is available; the
    margin passes exactly when the zone is inside or above with the gain set."""
    table = match_table(
        loads,
        [low] * len(loads),
        [low * width] * len(loads),
        outputs([mono(), stereo()]),
        supply_voltage_v=supply_v,
    )
    at_gain = table.voltage_limit_v**2 / np.array(loads)[:, None]
    assert np.all(at_gain <= low * width * (1 + 1e-9))
    assert np.all(table.used_w <= table.available_w)
    assert np.array_equal(table.passes, np.isin(table.zone_index, (1, 2)))


def test_margins_are_decibels_to_too_little_and_to_three_times_the_top() -> None:
    """300 W on 100 to 300 W: 4.77 dB each way; on 20 to 50 W 3 dB too many; none at all: -60."""
    table = match_table(
        [4.0, 4.0, 2.0], [100.0, 20.0, 10.0], [300.0, 50.0, 50.0],
        outputs([mono(), stereo()]), supply_voltage_v=14.4,
    )  # fmt: skip
    assert table.margin_db[:2, 0] == pytest.approx([4.7712, -3.0103], abs=1e-3)
    assert table.margin_db[2, 2] == -60.0
    assert table.below_top_db[2, 2] == 60.0
    assert table.load_ohm.tolist() == [4.0, 4.0, 2.0]


def test_a_range_of_which_nothing_is_known_is_a_typical_one() -> None:
    """67 to 200 W (common practice, no source); a stated end keeps the other on its side."""
    table = match_table(
        [4.0] * 3, [np.nan, 300.0, np.nan], [np.nan, np.nan, 90.0],
        outputs([mono()]), supply_voltage_v=14.4,
    )  # fmt: skip
    assert table.power_high_w.tolist() == pytest.approx([200, 300, 90])
    assert table.power_low_w.tolist() == pytest.approx([200 / 3, 300, 30])
