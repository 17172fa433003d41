"""One and two volumes of air, against the network's closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.car import Cabin
from basswright.records.space import BootSpace, Opening
from basswright.sound.cabin.zone import PressureZone

C = 343.2
BEHIND, BEFORE = [[-0.6, 0.0, 0.2]], [[0.6, 0.0, 0.3]]


def _cabin(boot: float = 0.45, opening: float = 0.05, volume: float = 2.8) -> Cabin:
    return Cabin(
        length_m=2.0,
        width_m=1.4,
        height_m=1.15,
        volume_m3=volume,
        boot_volume_m3=boot,
        boot_opening_m2=opening,
        leak_corner_hz=5.0,
        loss_factor=0.18,
    )


SPACE = BootSpace(
    kind="saloon",
    width_floor_m=1.0,
    width_above_arches_m=1.3,
    height_m=0.5,
    depth_floor_m=1.0,
    depth_top_m=0.9,
    seat_lean_deg=20.0,
    arch_length_m=0.5,
    arch_height_m=0.3,
    arch_from_seat_m=0.1,
    spare_well_diameter_m=0.0,
    spare_well_depth_m=0.0,
    opening=Opening(width_m=1.0, height_m=0.5),
)


@pytest.mark.parametrize(
    ("volume", "gains"),
    [
        (2.0, [27.4, 20.4, 15.4, 11.5]),
        (3.0, [23.9, 16.8, 11.8, 8.0]),
        (4.0, [21.4, 14.3, 9.3, 5.5]),
    ],
)
def test_rigid_zone_gives_the_textbook_gain(volume, gains):
    # 20 lg [2 pi c²/(w² V)] over half space at 1 m (any acoustics text, e.g. Kinsler).
    frequency = np.array([20.0, 30.0, 40.0, 50.0])
    zone = PressureZone(readings=_cabin(boot=0.0, volume=volume), rigid=True)
    half_space = 1.204 * frequency
    gain = 20 * np.log10(np.abs(zone.at_readings(frequency, BEFORE)[0]) / half_space)
    np.testing.assert_allclose(gain, gains, atol=0.06)


def test_boot_and_cabin_resonate_through_their_openings():
    # f = (c/2pi) sqrt(S/Leff (1/V1 + 1/V2)), two holes, Rayleigh's end correction 0.85 r.
    area, radius = 0.05, np.sqrt(0.05 / 2 / np.pi)
    length = 0.05 + 1.7 * radius
    expected = C / (2 * np.pi) * np.sqrt(area / length * (1 / 0.45 + 1 / 2.8))
    frequency = np.linspace(20, 80, 601)
    zone = PressureZone(readings=_cabin(), space=SPACE, rigid=True)
    level = np.abs(zone.at_readings(frequency, BEHIND)[0]) * frequency
    assert frequency[np.argmax(level)] == pytest.approx(expected, rel=0.035)


def test_far_below_that_the_two_volumes_act_as_one():
    zone = PressureZone(readings=_cabin(), space=SPACE, rigid=True)
    for place in (BEHIND, BEFORE):
        answer = np.abs(zone.at_readings([5.0], place))[0, 0]
        assert answer == pytest.approx(1.204 * C**2 / (2 * np.pi * 5 * 3.25), rel=0.04)


def test_far_above_that_the_cabin_falls_away_12_db_an_octave_from_one_volume():
    zone = PressureZone(readings=_cabin(), space=SPACE, rigid=True)
    level = 20 * np.log10(np.abs(zone.at_readings([250.0, 500.0], BEHIND)[0]))
    assert level[1] - level[0] == pytest.approx(-6.02 - 12.04, abs=0.4)


def test_give_and_leak_take_from_the_bottom():
    stiff = PressureZone(readings=_cabin(boot=0.0), rigid=True)
    soft = PressureZone(readings=_cabin(boot=0.0))
    frequency = np.array([5.0, 20.0])
    loss = np.abs(stiff.at_readings(frequency, BEFORE) / soft.at_readings(frequency, BEFORE))[0]
    assert np.all(20 * np.log10(loss) > 1.0)
