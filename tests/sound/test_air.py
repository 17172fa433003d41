"""Air against handbook values."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.sound.air import (
    BULK_PA,
    C_M_PER_S,
    ONE_WATT_LEVEL_DB,
    REFERENCE_PA,
    RHO_KG_PER_M3,
    density,
    half_space_transfer,
    speed_of_sound,
)


@pytest.mark.parametrize(
    ("temperature_c", "speed"),
    [(-20.0, 318.9), (0.0, 331.3), (10.0, 337.3), (20.0, 343.2), (30.0, 349.0), (40.0, 354.7)],
)
def test_speed_of_sound(temperature_c: float, speed: float) -> None:
    """Dry air, ISO 9613-1 and the tables of any handbook, to a tenth of a metre a second."""
    assert speed_of_sound(temperature_c) == pytest.approx(speed, abs=0.06)


@pytest.mark.parametrize(
    ("temperature_c", "rho"),
    [(-20.0, 1.3943), (0.0, 1.2922), (15.0, 1.2250), (20.0, 1.2041), (40.0, 1.1272)],
)
def test_density(temperature_c: float, rho: float) -> None:
    """Dry air at 101325 Pa; 1.225 at 15 degrees is that of ISO 2533."""
    assert density(temperature_c) == pytest.approx(rho, rel=2e-4)


def test_constants_are_those_of_twenty_degrees() -> None:
    """rho c^2 is the adiabatic bulk modulus, 1.4 times 101325 Pa; 20 uPa is ISO 80000-8's."""
    assert pytest.approx(density(20.0), rel=2e-4) == RHO_KG_PER_M3
    assert pytest.approx(float(speed_of_sound(20.0)), rel=1e-12) == C_M_PER_S
    assert pytest.approx(1.4 * 101325, rel=1e-3) == BULK_PA
    assert REFERENCE_PA == 20e-6


def test_one_watt_in_half_space() -> None:
    """p^2 = rho c W / (2 pi r^2) through a hemisphere (Kinsler et al., chapter 5)."""
    level = 10 * np.log10(RHO_KG_PER_M3 * C_M_PER_S / (2 * np.pi) / REFERENCE_PA**2)
    assert pytest.approx(level, abs=5e-3) == ONE_WATT_LEVEL_DB


def test_a_litre_a_second_on_a_wall() -> None:
    """At 50 Hz and 1 m: rho f U = 60.2 mPa, a quarter turn ahead; half of it at 2 m."""
    found = half_space_transfer(np.array([50.0, 100.0]))
    assert np.abs(found) * 1e-3 == pytest.approx([0.0602, 0.1204])
    assert np.angle(found) == pytest.approx(np.pi / 2)
    assert half_space_transfer(np.array([50.0]), 2.0) == pytest.approx(found[:1] / 2)
