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
