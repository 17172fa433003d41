"""A box that brings its own amplifier, against energy balance and Ohm's law."""

from __future__ import annotations

from typing import Any

import pytest

from basswright.drive import built_in_power_w, match
from basswright.records.car import HeadUnit
from basswright.records.enclosure import BuiltInAmplifier
from tests.drive.sample import box

LINE = HeadUnit(signal="line", output_v=4.0)


def _inner(**changes: Any) -> BuiltInAmplifier:
    return BuiltInAmplifier.model_validate({"power_w": 150.0} | changes)


def test_power_falls_with_the_square_of_the_supply_and_never_rises() -> None:
    """150 W at 14.4 V are 104.2 W at 12 V (Ohm's law), and 150 W at 15 V."""
    assert built_in_power_w(_inner(), 12.0) == pytest.approx(150 * (12 / 14.4) ** 2)
    assert built_in_power_w(_inner(), 15.0) == pytest.approx(150.0)
    assert built_in_power_w(_inner(power_w=900.0, fuse_a=20.0), 12.0) == pytest.approx(
        20 * 14.4 * 0.88 * (12 / 14.4) ** 2
    )


def test_the_smaller_of_fuse_and_current_bounds_the_claim() -> None:
    """10 A x 14.4 V x 0.65 of class AB = 93.6 W."""
    claim = _inner(power_w=500.0, fuse_a=20.0, current_a=10.0, amplifier_class="AB")
    assert built_in_power_w(claim, 14.4) == pytest.approx(93.6)


def test_load_voltage_and_share_are_told() -> None:
    """104.2 W in 4 ohm are 20.41 V; at 12 V 69 % of the power is left."""
    found = match(box(amplifier={"power_w": 150.0}), None, supply_voltage_v=12.0, head_unit=LINE)
    assert found.load_ohm == 4.0
    assert found.available_w == found.used_w == pytest.approx(104.17, abs=0.01)
    assert found.gain_voltage_v == pytest.approx(20.41, abs=0.01)
    assert any("taken as unregulated, 69 % of the power" in note for note in found.notes)
    boosted = match(box(amplifier={"power_w": 150.0}), None, supply_voltage_v=15.0, head_unit=LINE)
    assert any("unregulated, 100 % of the power" in note for note in boosted.notes)


def test_the_margin_is_that_of_the_fuse_or_none_is_known() -> None:
    """20 A stand for 253 W, 2.27 dB over 150 W; without a fuse the margin is the greatest."""
    fused = box(amplifier={"power_w": 150.0, "fuse_a": 20.0})
    found = match(fused, None, supply_voltage_v=14.4, head_unit=LINE)
    assert found.verdict.margin == pytest.approx(2.27, abs=0.01)
    assert found.verdict.certainty == "sure"
    bare = match(box(amplifier={"power_w": 150.0}), None, supply_voltage_v=14.4, head_unit=LINE)
    assert bare.verdict.margin == 60.0
    boast = box(amplifier={"power_w": 900.0, "fuse_a": 20.0})
    assert (
        match(boast, None, supply_voltage_v=14.4, head_unit=LINE).verdict.certainty
        == "too close to call"
    )


def test_a_load_that_is_not_stated_is_assumed_and_said() -> None:
    """4 ohm, which matters to nothing outside the box."""
    silent = box(load_ohm=None, amplifier={"power_w": 100.0})
    found = match(silent, None, supply_voltage_v=14.4, head_unit=LINE)
    assert found.gain_voltage_v == pytest.approx(20.0)
    assert "load inside not stated: 4 ohm assumed (matters to nothing outside)" in found.notes
