"""Promise kept or not, and finding planted faults in simulated cars."""

from dataclasses import replace

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.proof.compare import compare
from basswright.proof.effects import low_pass_db, supply_compression_db
from basswright.proof.installed import FREQUENCY_HZ
from basswright.proof.likelihood import Evidence, sum_index
from basswright.proof.plant import Change, Facts
from basswright.records.measurement import Problem
from tests.proof import cars
from tests.proof.records_of import plant_of, promise_of

#: An open car whose two coils are in parallel.
CAR = 4
GRID = FREQUENCY_HZ


def _case(fault="none"):
    name, measured = cars.session(cars.random_car(CAR), fault, CAR)
    return name, measured, plant_of(CAR), promise_of(CAR)


def _evidence(session):
    return Evidence(
        loud=session.loud,
        front=session.front,
        together=session.together,
        resistance_ohm=session.resistance_ohm,
    )


def test_a_level_inside_the_band_keeps_the_promise():
    _, session, _, promised = _case()
    level = np.interp(np.log(cars.FREQUENCY), np.log(GRID), promised.level_db)
    proof = compare(replace(session.bass, level_db=level), promised)
    assert proof.kept
    assert proof.causes == ()
    assert proof.band_margin_db.min() > 0


def test_where_the_promise_is_not_kept_is_named_with_its_shortfall():
    _, session, _, promised = _case()
    level = np.interp(np.log(cars.FREQUENCY), np.log(GRID), promised.level_low_db)
    hole = np.where(np.abs(np.log2(cars.FREQUENCY / 50.12)) < 0.16, -3.0, 0.5)
    proof = compare(replace(session.bass, level_db=level + hole), promised)
    assert not proof.kept
    assert len(proof.where_not) == 1
    assert proof.where_not[0].startswith("50.1 Hz: ")
    worst = proof.band_margin_db.min()
    assert worst == pytest.approx(-3.0, abs=0.7)


def test_without_a_known_microphone_only_the_shape_is_judged_and_that_is_said():
    _, session, plant, promised = _case("gain low")
    relative = replace(session.bass, absolute=False, level_db=session.bass.level_db - 60)
    proof = compare(relative, promised, plant=plant)
    assert "relative level" in {one.kind for one in proof.problems}
    shares = {one.fault: one.share for one in proof.causes}
    absolute = compare(session.bass, promised, plant=plant)
    assert shares["gain low"] < {c.fault: c.share for c in absolute.causes}["gain low"]


def test_series_wiring_and_low_gain_are_not_told_apart_without_a_reading():
    """6 dB less at every frequency: the resistance at the terminals separates the two."""
    _, session, plant, promised = _case()
    plant = replace(plant, facts=replace(plant.facts, coils=2))
    level = np.interp(np.log(cars.FREQUENCY), np.log(GRID), promised.level_db) - 6.02
    flat = replace(session.bass, level_db=level)
    proof = compare(flat, promised, plant=plant)
    assert set(proof.cannot_tell[0]) >= {"gain low", "wrong wiring or load"}
    assert "resistance" in proof.separating_reading[0]
    planned = plant.facts.resistance_ohm
    for ohm, cause in ((planned, "gain low"), (4 * planned, "wrong wiring or load")):
        settled = compare(flat, promised, plant=plant, evidence=Evidence(resistance_ohm=ohm))
        assert settled.causes[0].fault == cause
        assert settled.causes[0].share > 0.9


def test_an_unusable_recording_proves_nothing():
    _, session, _, promised = _case()
    clipped = Problem(kind="clipping", severity="unusable", text="5 % of the samples are clipped")
    with pytest.raises(InputError, match="5 % of the samples"):
        compare(replace(session.bass, problems=(clipped,)), promised)


def test_a_measurement_that_shares_no_range_is_refused():
    _, session, plant, promised = _case()
    high = replace(session.bass, frequency_hz=session.bass.frequency_hz * 20)
    with pytest.raises(InputError, match="too few frequencies"):
        compare(high, promised)
    half = replace(session.bass, frequency_hz=session.bass.frequency_hz * 2)
    with pytest.raises(InputError, match="does not cover"):
        compare(half, promised, plant=plant)


class _Known:
    """A plant whose impedance is that of the simulated car itself."""

    def __init__(self, truth):
        self.frequency_hz = cars.FREQUENCY
        self.facts = Facts(gain_voltage_v=truth.gain_v, amplifier_voltage_v=truth.amplifier_v)
        self._box = truth.box

    def impedance(self, change):
        return cars.box_flow(self._box)[1]


def test_supply_compression_agrees_with_iterating_the_feed():
    """The closed form against the simulator's iteration of voltage and current."""
    truth = cars.random_car(CAR)
    ohm = 25 * truth.supply_ohm
    _, impedance = cars.box_flow(truth.box)
    wanted = cars.limit_db(truth, impedance, -3.0, 25)
    found = supply_compression_db(_Known(truth), supply_ohm=ohm, played_dbfs=-3.0)
    below = cars.FREQUENCY < 75
    assert wanted[below].min() < -1.5
    assert found[below] == pytest.approx(wanted[below], abs=0.25)


@pytest.mark.parametrize("fault", [name for name in cars.FAULT_NAMES if "boot" not in name])
def test_a_planted_fault_is_among_the_first_three_causes(fault):
    """One car, every fault that an open car can have, with the standard readings."""
    name, session, plant, promised = _case(fault)
    proof = compare(session.bass, promised, plant=plant, evidence=_evidence(session))
    assert name in [one.fault for one in proof.causes[:3]]
    total = sum(one.share for one in proof.causes) + proof.nothing_share
    assert total == pytest.approx(1.0)


def test_sum_index_is_the_cosine_of_the_angle():
    _, session, _, _ = _case()
    level = np.full(cars.FREQUENCY.size, 90.0)
    angle = np.radians(70)
    both = 90 + 10 * np.log10(2 + 2 * np.cos(angle))
    index, error = sum_index(
        replace(session.bass, level_db=level),
        replace(session.front, level_db=level),
        together=replace(session.together, level_db=level - 90 + both),
        crossover_hz=80.0,
    )
    assert index == pytest.approx(np.cos(angle), abs=1e-9)
    assert 0 < error < 0.2


def test_low_pass_twice_is_twice_as_deep():
    assert low_pass_db(np.array([80.0]), 80.0) == pytest.approx([-3.0103], abs=1e-4)


def test_plants_answer_for_one_change_without_another():
    _, _, plant, _ = _case()
    base = plant.pressure(Change())
    assert np.array_equal(base, plant.pressure(Change()))
    assert not np.allclose(base, plant.pressure(Change(leak_Q=0.3)))
