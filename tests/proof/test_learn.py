"""Learning from measured cars, and comparing a car with itself."""

from dataclasses import replace

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.proof.installed import FREQUENCY_HZ as GRID
from basswright.proof.learn import Lesson, _given, _kernel, learned, lesson, shift_and_spread
from basswright.proof.service import compare_with_earlier
from tests.proof import cars
from tests.proof.records_of import plant_of, promise_of

KNOTS = np.geomspace(16, 120, 24)
SPREAD = np.full(KNOTS.size, 3.0)


def _fleet(random, *, count, share, scale=1.0):
    kernel = _kernel(KNOTS, KNOTS) * 9 * scale**2
    root = np.linalg.cholesky(kernel + 1e-9 * np.eye(KNOTS.size))
    common = np.sqrt(share) * root @ random.standard_normal(KNOTS.size)
    cars_ = [
        common + np.sqrt(1 - share) * root @ random.standard_normal(KNOTS.size)
        for _ in range(count)
    ]
    return [
        Lesson(
            frequency_hz=KNOTS,
            deviation_db=one
            + 0.7 * random.standard_normal()
            + 0.3 * random.standard_normal(KNOTS.size),
            spread_db=SPREAD,
        )
        for one in cars_
    ], cars_


def test_conditioning_equals_the_joint_normal_distribution():
    """Against conditioning the whole joint covariance of three cars at once."""
    random = np.random.default_rng(3)
    size, count, share = 5, 3, 0.6
    knots = KNOTS[:size]
    kernel = _kernel(knots, knots) * 4
    deviations = random.standard_normal((count, size)) * 2
    mean, taken, _ = _given(deviations, kernel, kernel, share=share)
    noise = 0.3**2 * np.eye(size) + 0.7**2
    joint = np.kron(np.ones((count, count)), share * kernel) + np.kron(
        np.eye(count), (1 - share) * kernel + noise
    )
    across = np.kron(np.ones((1, count)), share * kernel)
    solved = np.linalg.solve(joint, deviations.ravel())
    assert mean == pytest.approx(across @ solved)
    gone = np.diag(across @ np.linalg.solve(joint, across.T))
    assert taken == pytest.approx(gone)


def test_bands_narrow_with_more_cars_and_still_hold():
    """90 % bands over simulated fleets: narrower with 1, 5 and 20 cars, and not too narrow."""
    random = np.random.default_rng(8)
    widths, inside = {}, {}
    for count in (1, 5, 20):
        spreads, hits = [], []
        for _ in range(25):
            lessons, true = _fleet(random, count=count + 1, share=0.8)
            mean, spread = shift_and_spread(KNOTS, SPREAD, lessons[:-1])
            spreads.append(spread.mean())
            hits.append(np.abs(true[-1] - mean) <= 1.645 * spread)
        widths[count], inside[count] = np.mean(spreads), np.mean(hits)
    assert 3.0 > widths[1] > widths[5] > widths[20]
    assert widths[20] < 0.62 * 3.0
    assert min(inside.values()) > 0.83
    assert inside[20] < 0.97


def test_cars_that_have_nothing_in_common_teach_little():
    random = np.random.default_rng(9)
    lessons, _ = _fleet(random, count=20, share=0.0)
    mean, spread = shift_and_spread(KNOTS, SPREAD, lessons)
    assert np.abs(mean).max() < 1.5
    assert spread.mean() == pytest.approx(3.0, rel=0.2)


def test_a_lesson_is_measured_less_predicted_and_moves_the_next_prediction_that_way():
    truth = cars.random_car(4)
    _, session = cars.session(truth, "none", 4)
    promised = promise_of(4)
    louder = replace(session.bass, frequency_hz=GRID, level_db=promised.level_db + 3.0)
    found = lesson(louder, promised)
    assert found.deviation_db == pytest.approx(3.0, abs=1e-9)
    after = learned(promised, [found])
    moved = after.level_db - promised.level_db
    assert moved.min() > 0.1
    assert moved.mean() > 0.3
    assert moved.max() < 3.0
    before_width = promised.level_high_db - promised.level_low_db
    assert np.mean(after.level_high_db - after.level_low_db) < np.mean(before_width)
    assert learned(promised, []) is promised
    assert "1 measured car of this kind" in after.cabin_model


def test_a_recording_of_unknown_level_teaches_nothing():
    truth = cars.random_car(4)
    _, session = cars.session(truth, "none", 4)
    promised = promise_of(4)
    with pytest.raises(InputError, match="known level"):
        lesson(replace(session.bass, absolute=False), promised)


def test_a_car_that_has_not_changed_shows_no_change_and_a_new_leak_is_found():
    truth = cars.random_car(4)
    plant = plant_of(4)
    _, then = cars.session(truth, "none", 1)
    _, same = cars.session(truth, "none", 2)
    assert compare_with_earlier(same.bass, then.bass).kept
    _, leaky = cars.session(truth, "leak", 3)
    proof = compare_with_earlier(leaky.bass, then.bass, plant=plant)
    assert not proof.kept
    assert proof.causes[0].fault == "leak"
    with pytest.raises(InputError, match="mixed"):
        compare_with_earlier(same.bass, replace(then.bass, absolute=False))
