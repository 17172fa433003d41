"""The cabin models on invented cars that are simulated apart from them."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.records.cabin import CabinMeasurement
from basswright.sound.cabin import cabin_for, estimated_cabin, measured_cabin
from basswright.sound.cabin.meshed import meshed_cabin
from basswright.sound.cabin.model import MEMBERS
from basswright.sound.cabin.rectangular import RectangularCabin, rectangular_cabin
from basswright.sound.cabin.zone import PressureZone
from tests.sound.cabin import brick_cars
from tests.sound.cabin.simulated_cars import (
    BODIES,
    TONES,
    simulated_car,
    third_octave_db,
)


@pytest.fixture(scope="module")
def fleet():
    """One car of each body with the truth of both places."""
    cars = [simulated_car(body, seed) for body in BODIES for seed in (103,)]
    return [(one, [one.transfer(TONES, place, step=0.2) for place in (0, 1)]) for one in cars]


def _rms(model, cone, truth) -> float:
    level = third_octave_db(model.transfer(TONES, cone[None])[0, 0])
    return float(np.sqrt(np.mean((level - third_octave_db(truth)) ** 2)))


def test_the_outline_is_nearer_the_truth_than_the_simple_models(fleet):
    errors = {"outline": [], "rectangle": [], "volume": [], "half space": []}
    for one, truth in fleet:
        cone, car = one.cones[0], one.car
        volume = PressureZone(readings=car.cabin, space=car.load_space, rigid=True)
        errors["outline"].append(_rms(estimated_cabin(car), cone, truth[0]))
        errors["rectangle"].append(_rms(rectangular_cabin(car, ""), cone, truth[0]))
        errors["volume"].append(_rms(volume, cone, truth[0]))
        free = third_octave_db(1.204 * TONES + 0j) - third_octave_db(truth[0])
        errors["half space"].append(float(np.sqrt(np.mean(free**2))))
    median = {key: float(np.median(value)) for key, value in errors.items()}
    assert median["outline"] < 2.7
    assert median["outline"] < 0.7 * median["volume"]
    assert median["outline"] < 0.5 * median["rectangle"]
    assert median["volume"] < median["half space"]


def test_a_measurement_from_one_place_helps_at_another(fleet):
    before, after, same = [], [], []
    for one, truth in fleet:
        model = estimated_cabin(one.car)
        order = np.argsort(TONES)
        known = measured_cabin(
            model, TONES[order], cone_m=one.cones[0], transfer=truth[0][order], spread_db=0.3
        )
        before.append(_rms(model, one.cones[1], truth[1]))
        after.append(_rms(known, one.cones[1], truth[1]))
        same.append(_rms(known, one.cones[0], truth[0]))
    assert max(same) < 0.05
    assert np.median(after) < 1.2
    assert np.median(after) < 0.7 * np.median(before)


def test_a_fleet_that_nothing_was_set_by_is_met_too():
    """Cars built in another way: the outline beats one volume, and draws hold the truth."""
    errors, volumes, held = [], [], []
    for body in brick_cars.BODIES:
        one = brick_cars.brick_car(body, 301)
        truth = third_octave_db(one.transfer(TONES)[0])
        draws = estimated_cabin(one.car).transfer(TONES, one.cones[:1], draws=60)[0]
        level = third_octave_db(draws)
        volume = PressureZone(readings=one.car.cabin, space=one.car.load_space, rigid=True)
        flat = third_octave_db(volume.at_readings(TONES, one.cones[:1])[0])
        errors.append(np.sqrt(np.mean((level[0] - truth) ** 2)))
        volumes.append(np.sqrt(np.mean((flat - truth) ** 2)))
        low, high = np.quantile(level[1:], [0.05, 0.95], axis=0)
        held.append(np.mean((truth >= low) & (truth <= high)))
    assert np.median(errors) < 2.3
    assert np.median(errors) < 0.6 * np.median(volumes)
    assert np.mean(held) > 0.75


def test_the_middle_is_the_mean_level_over_the_members(hatchback):
    model, cone = cabin_for(hatchback), np.array([[-0.4, 0.0, 0.2]])
    fields = model.members(TONES, MEMBERS) @ model.shapes(cone)[0]
    middle = model.transfer(TONES, cone)[0, 0]
    np.testing.assert_allclose(
        np.log(np.abs(middle)), np.log(np.abs(fields)).mean(axis=0), rtol=1e-9
    )


def test_many_places_get_the_same_answer_as_few(hatchback):
    model = cabin_for(hatchback)
    cone = np.random.default_rng(0).uniform([-0.6, -0.4, 0.1], [-0.2, 0.4, 0.4], (700, 3))
    many, few = model.transfer(TONES, cone), model.transfer(TONES, cone[:3])
    off = 20 * np.log10(np.abs(many[:3] / few))
    assert np.sqrt(np.mean(off**2)) < 0.8


def test_a_boot_without_a_known_opening_still_lets_some_air_through(saloon):
    shut = saloon.model_copy(
        update={"cabin": saloon.cabin.model_copy(update={"boot_opening_m2": 0.0})}
    )
    cone = [[-0.6, 0.0, 0.2]]
    sealed = np.abs(cabin_for(shut).transfer(TONES, cone)[0, 0])
    usual = np.abs(cabin_for(saloon).transfer(TONES, cone)[0, 0])
    assert np.all(np.isfinite(sealed))
    assert np.all(sealed > 0)
    assert np.all(sealed[:3] < usual[:3])


@pytest.fixture(scope="module")
def hatchback():
    return simulated_car("hatchback", 7).car


@pytest.fixture(scope="module")
def saloon():
    return simulated_car("saloon", 7).car


def test_reciprocity_between_box_and_ear(hatchback):
    # Rayleigh: exchanging source and receiver leaves the transfer function as it is.
    model = meshed_cabin(hatchback)
    place = np.array([-0.3, 0.2, 0.25])
    frequency = np.array([20.0, 45.0, 80.0])
    there = model.at_readings(frequency, place[None])[0]
    back = model.at_ear(place).at_readings(frequency, model.ear_m[None])[0]
    np.testing.assert_allclose(np.abs(there), np.abs(back), rtol=0.03)


@pytest.mark.parametrize("name", ["hatchback", "saloon"])
def test_draws_spread_round_the_middle_and_repeat(name, request):
    model = cabin_for(request.getfixturevalue(name))
    cone = [[-0.4, 0.0, 0.2], [-0.3, 0.3, 0.2]]
    many = model.transfer(TONES, cone, draws=40, seed=2)
    assert many.shape == (2, 40, len(TONES))
    one = model.transfer(TONES, cone)
    np.testing.assert_allclose(many[:, 0], one[:, 0], rtol=1e-9)
    np.testing.assert_array_equal(many, model.transfer(TONES, cone, draws=40, seed=2))
    spread = (20 * np.log10(np.abs(many[:, 1:]))).std(axis=1)
    assert np.all((spread > 0.5) & (spread < 8))


def test_models_can_be_sent_to_another_process(saloon):
    model = cabin_for(saloon)
    copy = pickle.loads(pickle.dumps(model))
    cone = [[-0.5, 0.0, 0.2], [0.5, 0.0, 0.2]]
    np.testing.assert_array_equal(copy.transfer(TONES, cone), model.transfer(TONES, cone))


def test_a_saloon_hears_less_from_the_boot_than_from_the_cabin(saloon):
    levels = np.abs(meshed_cabin(saloon).transfer([70.0], [[-0.6, 0, 0.2], [0.3, 0, 0.3]]))
    assert levels[0, 0, 0] < levels[1, 0, 0]


def test_contradicting_readings_fall_back_and_say_so(hatchback, saloon):
    odd = {"listener": hatchback.listener.model_copy(update={"ear_z_m": 2.4})}
    model = cabin_for(hatchback.model_copy(update=odd))
    assert isinstance(model, RectangularCabin)
    assert "ear_z_m" in model.why
    closed = cabin_for(saloon.model_copy(update=odd))
    assert isinstance(closed, PressureZone)
    assert np.all(np.isfinite(closed.transfer(TONES, [[-0.5, 0, 0.2]], draws=3)))
    assert np.all(np.isfinite(model.transfer(TONES, [[-0.5, 0, 0.2]], draws=3)))


def test_a_kept_measurement_is_used(hatchback):
    plain = cabin_for(hatchback)
    frequency = np.geomspace(20, 90, 12)
    cone = np.array([-0.35, 0.1, 0.2])
    level = 20 * np.log10(np.abs(plain.transfer(frequency, cone[None])[0, 0])) - 3.0
    kept = CabinMeasurement(
        frequency_hz=tuple(frequency),
        level_db=tuple(level),
        cone_x_m=-0.35,
        cone_y_m=0.1,
        cone_z_m=0.2,
    )
    model = cabin_for(hatchback.model_copy(update={"cabin_measurement": kept}))
    assert model.name.startswith("measured")
    answer = 20 * np.log10(np.abs(model.transfer(frequency, cone[None])[0, 0]))
    np.testing.assert_allclose(answer, level, atol=0.01)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"level_db": [1.0, 2.0]}, "level_db"),
        ({"level_db": None}, "transfer"),
        ({"transfer": [0j, 1, 1], "level_db": None}, "transfer"),
        ({"spread_db": [[1.0, 2.0]]}, "spread_db"),
        ({"frequency_hz": [30.0, 20.0, 40.0]}, "frequency_hz"),
    ],
)
def test_useless_measurements_are_refused(hatchback, change, field):
    given = {"frequency_hz": [20.0, 30.0, 40.0], "level_db": [50.0, 49.0, 48.0], **change}
    with pytest.raises(InputError, match=field):
        measured_cabin(
            cabin_for(hatchback), given.pop("frequency_hz"), cone_m=[-0.3, 0, 0.2], **given
        )


@pytest.mark.parametrize(
    ("frequency", "cone", "draws", "field"),
    [
        ([np.nan], [[0, 0, 0]], 1, "frequency_hz"),
        ([2.0], [[0, 0, 0]], 1, "frequency_hz"),
        ([50.0], [[0, 0]], 1, "cone_m"),
        ([50.0], [[0, 0, np.inf]], 1, "cone_m"),
        ([50.0], [[0, 0, 0]], 0, "draws"),
    ],
)
def test_questions_without_an_answer_are_refused(hatchback, frequency, cone, draws, field):
    with pytest.raises(InputError, match=field):
        cabin_for(hatchback).transfer(frequency, cone, draws=draws)
