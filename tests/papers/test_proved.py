"""What a proof says on the acceptance record."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright.papers import measured, papers
from basswright.papers.bands import PREFERRED_HZ, nominal_hz
from basswright.proof import compare
from basswright.records.measurement import Cause, Measurement, Problem, Proof
from tests.papers.conftest import made
from tests.papers.reading import words_of
from tests.papers.samples import vented


def proof(*, kept: bool) -> Proof:
    f = np.array([30.0, 40.0, 60.0])
    cause = Cause(
        fault="gain low",
        share=0.8,
        explained_share=0.9,
        residual_db=0.3,
        setting="about 4 dB",
        check_next="the gain voltage",
        curve_db=f,
    )
    return Proof(
        kept=kept,
        frequency_hz=f,
        measured_db=f,
        predicted_db=f,
        low_db=f,
        high_db=f,
        bands_hz=np.array([31.6, 39.8]),
        band_margin_db=np.array([1.5, -2.25]),
        where_not=() if kept else ("40 Hz: 2.3 dB short",),
        causes=() if kept else (cause,),
        check_next="" if kept else "the gain voltage",
    )


def test_margins_are_taken_over_under_the_names_of_the_bands():
    """IEC 61260-1: exact centres 31.62 and 39.81 Hz are the bands 31.5 and 40 Hz."""
    told = measured(proof(kept=False))
    assert [(band.frequency_hz, band.margin_db) for band in told.bands] == [
        (31.5, 1.5),
        (40.0, -2.25),
    ]


@pytest.mark.parametrize("place", range(10, 22))
def test_exact_centres_have_the_preferred_names(place):
    """ISO 266 names 10^(n/10) Hz."""
    assert nominal_hz(10 ** (place / 10)) == PREFERRED_HZ[place - 10]


def test_a_centre_of_no_band_keeps_its_own_name():
    assert nominal_hz(35.5) == 35.5


def test_a_promise_that_was_not_kept_names_cause_and_next_step():
    told = measured(proof(kept=False))
    assert told.kept is False
    assert told.remarks == ("gain low: about 4 dB", "the gain voltage")


def test_causes_that_cannot_be_told_apart_are_all_named():
    one = proof(kept=False)
    other = replace(one.causes[0], fault="leak", setting="leak with a Q of about 2")
    third = replace(one.causes[0], fault="boot sealed off", setting="half")
    both = replace(one, causes=(*one.causes, third, other), cannot_tell=(("gain low", "leak"),))
    assert measured(both).remarks == (
        "gain low: about 4 dB",
        "leak: leak with a Q of about 2",
        "the gain voltage",
    )


def test_a_kept_promise_needs_no_remarks():
    told = measured(proof(kept=True))
    assert told.kept is True
    assert told.remarks == ()


def test_a_kept_promise_names_no_fault_even_where_one_would_fit():
    found = replace(proof(kept=True), causes=proof(kept=False).causes)
    assert measured(found).remarks == ()


def test_the_level_is_the_expected_one_moved_by_what_was_measured():
    option = vented().option
    found = proof(kept=True)
    found = replace(found, measured_db=found.predicted_db - 1.5)
    assert measured(found).level_db is None
    assert measured(found, option).level_db == pytest.approx(option.goals.level_db - 1.5)


def test_a_microphone_of_unknown_level_tells_no_level_and_that_is_said():
    problem = Problem(
        kind="relative level", severity="warning", text="level is not known", remedy="calibrate"
    )
    told = measured(replace(proof(kept=True), problems=(problem,)), vented().option)
    assert told.level_db is None
    assert told.remarks == ("level is not known",)


def test_a_real_proof_fills_the_record_band_by_band():
    """A response 9 dB too low all over: every band short, and the gain among the causes."""
    sample = vented()
    facts = made(sample)
    prediction = sample.prediction
    f = np.geomspace(20.0, 110.0, 80)
    level = np.interp(np.log(f), np.log(prediction.frequency_hz), prediction.level_db) - 9.0
    zero = np.zeros_like(f)
    recorded = Measurement(
        frequency_hz=f,
        level_db=level,
        phase_rad=zero,
        impulse=np.zeros(8),
        impulse_rate_hz=48000.0,
        arrival_s=0.0,
        harmonics=(),
        distortion_db=np.zeros((0, f.size)),
        noise_db=level - 60,
        coherence=np.ones_like(f),
        spread_db=zero,
        drift_ppm=0.0,
        absolute=True,
        played_dbfs=-12.0,
    )
    found = compare(recorded, prediction, promised_hz=(28.5, 88.0))
    told = facts.model_copy(update={"measured": measured(found, sample.option)})
    text = "\n".join(words_of(papers(told)[4])).replace("\N{NO-BREAK SPACE}", " ")
    assert text.count("lower end −") == 5
    assert "109.4 dB" in text  # 118.4 dB expected, less 9 dB
    assert "The promise was not kept" in text
