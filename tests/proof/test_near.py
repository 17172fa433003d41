"""Close to the cone: what is heard there, and what it tells of the car."""

from dataclasses import replace

import numpy as np
import pytest

from basswright.proof.compare import compare
from basswright.proof.likelihood import Evidence
from basswright.proof.near import near_field, passing, surroundings
from basswright.proof.plant import Change
from tests.proof import cars
from tests.proof.records_of import car_of, plant_of, promise_of

HZ = np.array([20.0, 50.0, 100.0])
#: An open car whose two coils are in parallel.
CAR = 4


def test_near_and_far_field_are_apart_as_published():
    """Keele 1974, equation 10: near over far in half space is 2 r / a; in full space 4 r / a."""
    area, away, flow = 0.05, 3.0, np.ones(3, dtype=complex) * 1e-3
    radius = np.sqrt(area / np.pi)
    ratio = np.abs(near_field(HZ, flow, area) / passing(HZ, flow, away))
    assert ratio == pytest.approx(4 * away / radius)


def test_air_of_a_cabin_is_a_spring_above_its_leak():
    """rho c^2 / (V w) well above the leak; half of it in power at the leak's corner."""
    cabin = car_of(cars.random_car(CAR), CAR).cabin
    spring = cars.RHO * cars.C**2 / (cabin.volume_m3 * 2 * np.pi * HZ)
    assert np.abs(surroundings(HZ, cabin))[2] == pytest.approx(spring[2], rel=0.002)
    corner = np.array([cabin.leak_corner_hz])
    half = cars.RHO * cars.C**2 / (cabin.volume_m3 * 2 * np.pi * corner) / np.sqrt(2)
    assert np.abs(surroundings(corner, cabin)) == pytest.approx(half)


def test_a_boot_that_is_sealed_off_is_its_own_spring():
    cabin = car_of(cars.random_car(1), 1).cabin
    assert cabin.boot_volume_m3 > 0
    sealed = np.abs(surroundings(HZ, cabin, opening_share=1e-6))
    spring = cars.RHO * cars.C**2 / (cabin.boot_volume_m3 * 2 * np.pi * HZ)
    assert sealed == pytest.approx(spring, rel=0.01)
    assert (np.abs(surroundings(HZ[:1], cabin)) < sealed[:1]).all()


def test_a_cone_that_was_moved_away_is_heard_less_where_it_was():
    plant = plant_of(CAR)
    base, moved = (
        np.abs(plant.near(Change(moved_m=move))[0]) for move in ((0.0, 0.0, 0.0), (0.4, 0.0, 0.0))
    )
    fallen = 20 * np.log10(moved / base)
    assert np.median(fallen) < -5
    assert np.abs(plant.near(Change())).shape[0] == plant.draws


@pytest.mark.parametrize("fault", ["leak", "box moved or turned round"])
def test_a_recording_close_to_the_cone_tells_a_leak_from_a_moved_box(fault):
    """With it the planted fault comes first, and is surer than without."""
    name, session = cars.session(cars.random_car(CAR), fault, CAR)
    plant, promised = plant_of(CAR), promise_of(CAR)
    plain = Evidence(loud=session.loud, resistance_ohm=session.resistance_ohm)
    shares = []
    for evidence in (plain, replace(plain, close=session.close)):
        proof = compare(session.bass, promised, plant=plant, evidence=evidence)
        shares.append({cause.fault: cause.share for cause in proof.causes})
    assert shares[1][name] > shares[0][name]
    assert max(shares[1], key=lambda one: shares[1][one]) == name
