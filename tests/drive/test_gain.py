"""Gain voltage, tone and range of the control against Ohm's law and the decibel."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.drive import gain_range, gain_voltage, tone_voltage
from basswright.drive.gain import TONE_DBFS, TONE_HZ, set_up_steps
from basswright.records.car import HeadUnit
from tests.drive.sample import mono

LINE = HeadUnit(signal="line", output_v=4.0)


def test_gain_voltage_is_ohms_law() -> None:
    """1 W in 8 ohm is 2.828 V, 100 W in 4 ohm 20 V, 1000 W in 1 ohm 31.62 V."""
    assert gain_voltage([1.0, 100.0, 1000.0, 0.0], [8.0, 4.0, 1.0, 4.0]) == pytest.approx(
        [2.8284, 20.0, 31.623, 0.0], abs=1e-3
    )
    assert gain_voltage(np.array([[50.0], [200.0]]), [2.0, 4.0]).shape == (2, 2)


@pytest.mark.parametrize(
    ("level", "share"), [(0.0, 1.0), (-3.0103, 0.70711), (-6.0206, 0.5), (-10.0, 0.31623)]
)
def test_a_tone_reads_less_by_its_decibels(level: float, share: float) -> None:
    """20 dB are a factor of ten in voltage (ISO 80000-8)."""
    assert tone_voltage(20.0, level) == pytest.approx(20.0 * share, rel=1e-4)


def test_the_set_up_tone_is_one_that_meters_read_right() -> None:
    """50 Hz, at which every AC meter is specified, 5 dB down: 34.64 V read 19.5 V."""
    assert (TONE_HZ, TONE_DBFS) == (50.0, -5.0)
    steps = " ".join(set_up_steps(34.641, LINE))
    assert "50 Hz sine at 5 dB below full scale (4 V radio" in steps
    assert "reads 19.5 V RMS" in steps
    assert "gives 34.6 V RMS" in steps


def test_the_range_of_the_control_follows_from_the_input_voltages() -> None:
    """34.64 V at rated power: 0.2 V in is 44.77 dB of gain, 4 V in is 18.75 dB."""
    wide = mono(input_low_v=0.2, input_high_v=4.0)
    found = gain_range(34.641, HeadUnit(signal="line", output_v=2.0), wide, rated_voltage_v=34.641)
    assert found.reached is True
    assert found.gain_db == pytest.approx(24.77, abs=0.01)
    assert found.least_db == pytest.approx(18.75, abs=0.01)
    assert found.most_db == pytest.approx(44.77, abs=0.01)
    assert found.text == "2 V at full scale from the radio, 24.8 dB of gain"


def test_a_control_that_ends_too_early_or_too_late_is_told_with_its_ends() -> None:
    """20 V from 0.1 V are 46.02 dB of 44.77; from 8 V 7.96 dB, below 18.75."""
    wide = mono(input_low_v=0.2, input_high_v=4.0)
    weak = gain_range(20.0, HeadUnit(signal="line", output_v=0.1), wide, rated_voltage_v=34.641)
    loud = gain_range(20.0, HeadUnit(signal="line", output_v=8.0), wide, rated_voltage_v=34.641)
    for found, gain in ((weak, 46.02), (loud, 7.96)):
        assert found.reached is False
        assert found.gain_db == pytest.approx(gain, abs=0.01)
        assert found.least_db == pytest.approx(18.75, abs=0.01)
        assert found.most_db == pytest.approx(44.77, abs=0.01)
    assert "ends at 44.8 dB; a radio or line driver with at least 0.1 V" in weak.text
    assert "gives 18.8 dB; lower the radio's output or its bass level by 10.8 dB" in loud.text


def test_without_input_voltages_nothing_is_claimed() -> None:
    """Not reached, not out of reach: not known."""
    found = gain_range(20.0, LINE, mono(), rated_voltage_v=34.6)
    assert (found.reached, found.least_db, found.most_db) == (None, None, None)
    assert found.gain_db == pytest.approx(13.98, abs=0.01)
    assert "does not tell the ends" in found.text
