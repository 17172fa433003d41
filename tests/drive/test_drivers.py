"""Drivers with several coils."""

from __future__ import annotations

import pytest

from basswright.drive import coil_diagram, driver_loads
from basswright.drive.coils import network_ohm
from basswright.errors import InputError


@pytest.mark.parametrize(
    ("coil_ohm", "coils", "drivers", "loads"),
    [
        (4.0, 2, 1, {2.0, 8.0}),
        (4.0, 2, 2, {1.0, 4.0, 16.0}),
        (2.0, 2, 2, {0.5, 2.0, 8.0}),
        (4.0, 2, 3, {0.667, 2.667, 6.0, 24.0}),
        (2.0, 2, 3, {0.333, 1.333, 3.0, 12.0}),
        (4.0, 2, 4, {0.5, 2.0, 8.0, 32.0}),
        (2.0, 2, 4, {0.25, 1.0, 4.0, 16.0}),
        (4.0, 1, 3, {1.333, 12.0}),
        (2.0, 4, 1, {0.5, 2.0, 8.0}),
    ],
)
def test_loads_of_the_usual_sets(
    coil_ohm: float, coils: int, drivers: int, loads: set[float]
) -> None:
    """Z s/p for s p coils, as printed in every wiring table."""
    found = driver_loads(coil_ohm, coils=coils, drivers=drivers)
    assert {round(wiring.load_ohm, 3) for wiring in found} == loads


@pytest.mark.parametrize(("coils", "drivers"), [(1, 1), (2, 3), (4, 2), (4, 8)])
def test_every_coil_is_there_and_the_network_has_the_load(coils: int, drivers: int) -> None:
    """Shares add up to one, in as many coils as were bought."""
    for wiring in driver_loads(2.0, coils=coils, drivers=drivers, equal_only=drivers > 4):
        assert len(wiring.coil_ohm) == len(wiring.power_share) == coils * drivers
        assert sum(wiring.power_share) == pytest.approx(1)
        assert network_ohm(wiring.network) == pytest.approx(wiring.load_ohm)


def test_unequal_sharing_between_drivers_is_told_apart() -> None:
    """Two of three in series: 1/6, 1/6, 2/3; each halved between its two coils."""
    found = driver_loads(4.0, coils=2, drivers=3, equal_only=False)
    odd = next(wiring for wiring in found if not wiring.equal)
    shares = sorted(round(share, 4) for share in odd.power_share)
    assert shares == pytest.approx([1 / 12] * 4 + [1 / 3] * 2, abs=1e-4)
    assert "each driver" in odd.text
    assert "total load" in coil_diagram(odd)


@pytest.mark.parametrize(("coils", "drivers"), [(3, 1), (0, 1), (2, 0), (2, 9)])
def test_other_numbers_are_refused(coils: int, drivers: int) -> None:
    """Named by field."""
    with pytest.raises(InputError):
        driver_loads(4.0, coils=coils, drivers=drivers)
