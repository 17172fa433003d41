"""Forces on the fixing of a box, and how tight its screws are."""

from __future__ import annotations

import pytest

from basswright.papers.restraint import forces, tightening_torque_nm


def test_driving_forces_are_the_stated_shares_of_the_weight():
    """VDI 2700 sheet 16, to 2.0 t: 0.9 forwards, 0.7 sideways, 0.5 rearwards."""
    loads = forces(100.0)
    weight = 980.665
    found = (loads.forward_n, loads.sideways_n, loads.rearward_n)
    assert found == pytest.approx((0.9 * weight, 0.7 * weight, 0.5 * weight), rel=1e-9)


def test_the_crash_takes_fifty_kilometres_an_hour_away_in_half_a_metre():
    """Kinematics: a = v^2 / (2 s), here 19.7 g, printed as 20."""
    deceleration = (50 / 3.6) ** 2 / (2 * 0.5) / 9.80665
    loads = forces(32.0)
    assert loads.crash_g == pytest.approx(deceleration, rel=0.02)
    assert loads.crash_n == pytest.approx(32.0 * loads.crash_g * 9.80665, rel=1e-9)
    assert loads.crash_n == pytest.approx(6276.3, abs=0.1)


@pytest.mark.parametrize(("thread", "printed_nm"), [("M6", 10.1), ("M8", 24.6)])
def test_tightening_torque_is_near_the_usual_tables(thread, printed_nm):
    """VDI 2230-1, table A1, class 8.8, friction 0.12: 10.1 and 24.6 N m; from memory."""
    assert tightening_torque_nm(thread) == pytest.approx(printed_nm, rel=0.06)


def test_tightening_torque_follows_the_textbook_equation():
    """Shigley: T = 0.2 F d, F = 0.75 of the proof load; worked by hand for M8."""
    preload_n = 0.75 * 580e6 * 36.6e-6
    assert tightening_torque_nm("M8") == pytest.approx(0.2 * preload_n * 0.008, rel=1e-12)
