"""How coils are joined, and what no joining gives."""

from __future__ import annotations

import math

import pytest

from basswright.errors import InputError
from basswright.records.enclosure import Driver
from basswright.sound.wiring import wiring_factor


@pytest.mark.parametrize(
    ("count", "Re", "load", "factor"),
    [
        (1, 3.5, 4.0, 1.0),
        (2, 3.5, 2.0, 0.5),
        (2, 3.5, 8.0, 2.0),
        (3, 3.5, 1.33, 1 / 3),
        (4, 3.5, 4.0, 1.0),
        (4, 3.5, 1.0, 0.25),
        (4, 1.8, 8.0, 4.0),
    ],
)
def test_equal_rows(count: int, Re: float, load: float, factor: float) -> None:
    """m cones in series, count / m rows in parallel: m^2 / count times one cone (Ohm)."""
    driver = Driver(size_m=0.30, count=count, Re_ohm=Re)
    assert wiring_factor(driver, load) == pytest.approx(factor, rel=1e-12)


def test_unknown_or_impossible_wiring() -> None:
    """Without Re it cannot be told, without a load it is parallel, and some loads clash."""
    assert math.isnan(wiring_factor(Driver(size_m=0.3, count=2), 2.0))
    assert wiring_factor(Driver(size_m=0.3, count=2, Re_ohm=3.5), None) == 0.5
    with pytest.raises(InputError, match="near 2, near 8"):
        wiring_factor(Driver(size_m=0.3, count=2, Re_ohm=3.5), 4.0)


def test_a_resistance_far_from_every_load_is_refused() -> None:
    """0.60 to 1.25 of the nominal load pass (common practice, no source)."""

    def two(Re: float) -> float:
        return wiring_factor(Driver(size_m=0.3, count=2, Re_ohm=Re), 2.0)

    assert two(2 * 2.0 * 0.601) == two(2 * 2.0 * 1.249) == 0.5
    for share in (0.598, 1.252):
        with pytest.raises(InputError):
            two(2 * 2.0 * share)
