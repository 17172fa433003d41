"""Readings with a meter and a clamp."""

from __future__ import annotations

import pytest

from basswright.supply.quick_test import Readings, quick_test
from tests.supply.sample import charging


def test_good_readings_pass_and_enter_the_record() -> None:
    """Each reading replaces the field that it measures."""
    found = quick_test(
        Readings(
            rest_v=12.6,
            cranking_v=10.4,
            cranking_a=320.0,
            idle_v=14.2,
            loaded_v=13.6,
            speed_output_a=95.0,
            base_load_a=38.0,
            drain_a=0.02,
        ),
        charging(),
    )
    assert all(verdict.passes for verdict in found.verdicts)
    assert found.charge_share == pytest.approx(0.9375)
    assert found.battery_ohm == pytest.approx(2.2 / 320)
    assert set(found.measured) == {"running_voltage_v", "base_load_a", "standing_drain_a"}
    assert found.charging.running_voltage_v == 14.2
    assert found.charging.alternator_rated_a == 120.0


@pytest.mark.parametrize(
    ("reading", "rule", "margin"),
    [
        ({"rest_v": 12.24}, "state of charge", -25.0),
        ({"cranking_v": 8.6}, "voltage while starting", -1.0),
        ({"idle_v": 15.2}, "regulated voltage", -0.3),
        ({"idle_v": 13.4}, "regulated voltage", -0.5),
        ({"loaded_v": 12.7}, "voltage under load", -0.5),
        ({"speed_output_a": 80.0}, "alternator output", -4.0),
        ({"drain_a": 0.2}, "standing drain", -150.0),
    ],
)
def test_poor_readings_fail_with_what_to_do(
    reading: dict[str, float], rule: str, margin: float
) -> None:
    """Rested voltage table, 9.6 V load test (BCI, from memory), a maker's 13.9 to 14.9 V
    and 70 % of nominal output."""
    verdict = quick_test(Readings.model_validate(reading), charging()).verdicts[0]
    assert (verdict.rule, verdict.passes) == (rule, False)
    assert verdict.margin == pytest.approx(margin)
    assert verdict.relief is not None


def test_a_nearly_empty_battery_may_not_start_the_car() -> None:
    """12.0 V: about 20 % charge."""
    verdict = quick_test(Readings(rest_v=12.0), charging()).verdicts[0]
    assert "may not start" in verdict.note


def test_an_alternator_at_its_limit_is_taken_at_its_reading() -> None:
    """Voltage low with all loads on: what the clamp reads is all there is."""
    weak = quick_test(Readings(loaded_v=12.6, idle_output_a=41.0, speed_output_a=88.0), charging())
    assert weak.charging.alternator_idle_a == 41.0
    assert weak.charging.alternator_rated_a == 88.0
    spare = quick_test(Readings(loaded_v=13.8, idle_output_a=41.0), charging())
    assert spare.charging.alternator_idle_a == 60.0


def test_no_reading_changes_nothing() -> None:
    """An empty sheet."""
    found = quick_test(Readings(), charging())
    assert found.verdicts == ()
    assert found.charging == charging()
    assert found.battery_ohm is None


def test_only_figures_that_the_record_may_hold_are_taken_in() -> None:
    """12 to 15.5 V while running and up to 2 A parked; beyond that a reading is judged and no
    more."""
    for idle_v, taken in ((11.9, False), (12.1, True), (15.4, True), (15.6, False)):
        found = quick_test(Readings(idle_v=idle_v), charging())
        assert ("running_voltage_v" in found.measured) is taken
    for drain_a, taken in ((1.99, True), (2.01, False)):
        found = quick_test(Readings(drain_a=drain_a), charging())
        assert ("standing_drain_a" in found.measured) is taken


@pytest.mark.parametrize(
    ("reading", "passes"),
    [
        ({"rest_v": 12.46}, True), ({"rest_v": 12.44}, False),
        ({"cranking_v": 9.61}, True), ({"cranking_v": 9.59}, False),
        ({"idle_v": 13.91}, True), ({"idle_v": 14.89}, True), ({"idle_v": 14.91}, False),
        ({"loaded_v": 13.21}, True), ({"loaded_v": 13.19}, False),
        ({"speed_output_a": 84.1}, True), ({"speed_output_a": 83.9}, False),
        ({"drain_a": 0.0499}, True), ({"drain_a": 0.0501}, False),
    ],
)  # fmt: skip
def test_limits_are_where_the_documentation_says(reading: dict[str, float], passes: bool) -> None:
    """75 % charge, 9.6 V (BCI, from memory), 13.9 to 14.9 V and 70 % (a maker's sheet), 13.2 V
    and 50 mA (common practice, no source)."""
    assert quick_test(Readings.model_validate(reading), charging()).verdicts[0].passes is passes


def test_a_drain_is_clearly_too_much_above_an_eighth_of_an_ampere() -> None:
    """120 mA (common practice, no source)."""
    notes = [
        quick_test(Readings(drain_a=drain), charging()).verdicts[0].note for drain in (0.119, 0.121)
    ]
    assert notes == ["wait until the car sleeps before reading", "clearly too much"]
