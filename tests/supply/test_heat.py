"""Air that carries an amplifier's heat."""

from __future__ import annotations

import pytest

from basswright.supply.heat import case_rise_k, cooling_air_m3_per_s


def test_air_flow_is_heat_over_heat_capacity() -> None:
    """100 W and 15 K: 5.5 L/s; about 3.0 times the watts over the kelvins in m3/h, the
    ventilation engineer's rule of thumb (3.0 to 3.1)."""
    flow = float(cooling_air_m3_per_s(100.0))
    assert flow == pytest.approx(5.5e-3, abs=0.05e-3)
    assert flow * 3600 == pytest.approx(3.0 * 100 / 15, rel=0.02)
    assert cooling_air_m3_per_s([0.0, 200.0], rise_k=30.0) == pytest.approx([0.0, flow])


def test_a_case_warms_with_heat_and_cools_with_surface() -> None:
    """50 W on 0.25 m2: 20 K."""
    assert case_rise_k(50.0, 0.25) == pytest.approx(20)
    assert case_rise_k(50.0, 0.5) == pytest.approx(10)
