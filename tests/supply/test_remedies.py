"""What a capacitor and a second battery do, side by side."""

from __future__ import annotations

import pytest

from basswright.supply import SupplyCase, demand_w, invented_piece, plan, remedies
from tests.supply.sample import battery, charging, snapshot


def test_a_capacitor_brings_tenths_of_a_decibel_and_no_charge() -> None:
    """Both figures that it is sold by: less than 0.3 dB, and the same ampere-hours."""
    made = plan(charging(), snapshot(), peak_a=60.0, average_a=22.0)
    demand = demand_w(invented_piece(10.0), 660.0, 0.8)
    second = battery(60.0, 680.0, 260.0, role="second")
    bare, capacitor, store, both = remedies(
        made, charging(), demand, case=SupplyCase(), second=second
    )
    assert (bare.name, bare.loud_gain_db) == ("as it is", 0.0)
    assert 0 < capacitor.loud_gain_db < 0.3
    assert capacitor.battery_used_ah == pytest.approx(bare.battery_used_ah, rel=0.03)
    assert store.loud_gain_db > capacitor.loud_gain_db
    assert store.battery_used_ah < bare.battery_used_ah
    assert both.lowest_v >= store.lowest_v
    assert "lights dip" in capacitor.text
    assert len(remedies(made, charging(), demand, case=SupplyCase())) == 2
