"""What a capacitor and a second battery do, side by side."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.supply import SupplyCase, demand_w, invented_piece, plan, remedies, simulate
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


def test_the_gain_is_twenty_logarithms_of_the_voltages_while_it_is_loud() -> None:
    """And every figure is that of the simulation by itself."""
    made = plan(charging(), snapshot(), peak_a=60.0, average_a=22.0)
    demand = demand_w(invented_piece(4.0), 660.0, 0.8)
    case = SupplyCase(input_power_w=825.0)
    bare, helped = remedies(made, charging(), demand, case=case, capacitor_farad=2.0)
    assert helped.name == "2 F"
    assert helped.loud_gain_db == pytest.approx(20 * np.log10(helped.loud_v / bare.loud_v))
    trace = simulate(made, charging(), demand, case=case)
    for name in ("loud_v", "lowest_v", "lights_dip_share", "clipped_share", "battery_used_ah"):
        assert getattr(bare, name) == getattr(trace, name), name
    assert f"lights dip by {trace.lights_dip_share * 100:.1f} %" in bare.text
    usual = remedies(made, charging(), demand, case=case)[1]
    assert usual.name == "1 F"
