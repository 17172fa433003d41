"""What a proof says on the acceptance record."""

from __future__ import annotations

import numpy as np

from basswright.papers import measured
from basswright.records.measurement import Cause, Proof


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
        bands_hz=np.array([31.5, 40.0]),
        band_margin_db=np.array([1.5, -2.25]),
        where_not=() if kept else ("40 Hz: 2.3 dB short",),
        causes=() if kept else (cause,),
        check_next="" if kept else "the gain voltage",
    )


def test_margins_are_taken_over_band_by_band():
    told = measured(proof(kept=False))
    assert [(band.frequency_hz, band.margin_db) for band in told.bands] == [
        (31.5, 1.5),
        (40.0, -2.25),
    ]


def test_a_promise_that_was_not_kept_names_place_cause_and_next_step():
    told = measured(proof(kept=False))
    assert told.kept is False
    assert told.remarks == ("40 Hz: 2.3 dB short", "gain low: about 4 dB", "the gain voltage")


def test_a_kept_promise_needs_no_remarks():
    told = measured(proof(kept=True))
    assert told.kept is True
    assert told.remarks == ()
