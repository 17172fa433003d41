"""Filter sections against scipy.signal and the published prototypes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from basswright.errors import InputError
from basswright.records.tuning import EqualiserBand, PassFilter
from basswright.tuning.filters import (
    infrasonic,
    low_pass,
    pass_db,
    peaking,
    peaking_db,
    response,
)

RATE = 48000.0
FREQUENCY = np.geomspace(5, 2000, 200)


def _decibels(values):
    return 20 * np.log10(np.abs(values))


@pytest.mark.parametrize("slope", [6, 12, 18, 24, 30, 36, 42, 48])
@pytest.mark.parametrize("kind", ["low", "high"])
def test_butterworth_equals_scipy_butter(slope, kind):
    setting = PassFilter(family="butterworth", frequency_hz=80.0, slope_db_per_octave=slope)
    sections = (low_pass if kind == "low" else infrasonic)(setting, RATE)
    sos = signal.butter(slope // 6, 80.0, kind, fs=RATE, output="sos")
    _, wanted = signal.freqz_sos(sos, FREQUENCY, fs=RATE)
    assert response(sections, FREQUENCY, RATE) == pytest.approx(wanted, rel=1e-6, abs=1e-14)


@pytest.mark.parametrize("slope", [12, 24, 36, 48])
def test_linkwitz_riley_is_butterworth_twice_by_scipy(slope):
    setting = PassFilter(family="linkwitz-riley", frequency_hz=63.0, slope_db_per_octave=slope)
    sos = signal.butter(slope // 12, 63.0, "low", fs=RATE, output="sos")
    _, half = signal.freqz_sos(sos, FREQUENCY, fs=RATE)
    assert response(low_pass(setting, RATE), FREQUENCY, RATE) == pytest.approx(
        half**2, rel=1e-6, abs=1e-14
    )
    at_corner = response(low_pass(setting, RATE), [63.0], RATE)
    assert _decibels(at_corner) == pytest.approx([-6.0206], abs=1e-3)


@given(st.floats(15, 300), st.floats(-15, 12).filter(lambda g: abs(g) > 0.1), st.floats(0.3, 10))
def test_peaking_equals_scipy_bilinear_of_the_prototype(centre, gain, quality):
    """scipy's bilinear transform of the analogue prototype, prewarped at the centre."""
    band = EqualiserBand(frequency_hz=centre, gain_db=gain, Q=quality)
    root, warped = 10 ** (gain / 40), 2 * RATE * np.tan(np.pi * centre / RATE)
    over = [1, warped * root / quality, warped**2]
    under = [1, warped / (root * quality), warped**2]
    b, a = signal.bilinear(over, under, RATE)
    found = peaking(band, RATE)
    assert [found.b0, found.b1, found.b2] == pytest.approx(b, rel=1e-6)
    assert [1, found.a1, found.a2] == pytest.approx(a, rel=1e-6)


def test_peaking_gives_its_gain_at_its_centre_and_the_analogue_form_agrees():
    bands = [(30.0, 5.0, 2.0), (55.0, -8.0, 4.0)]
    for centre, gain, quality in bands:
        section = peaking(EqualiserBand(frequency_hz=centre, gain_db=gain, Q=quality), RATE)
        assert _decibels(response([section], [centre], RATE)) == pytest.approx([gain], abs=1e-9)
        analogue = peaking_db(
            FREQUENCY,
            centre_hz=np.array([centre]),
            gain_db=np.array([gain]),
            Q=np.array([quality]),
        )[0]
        digital = _decibels(response([section], FREQUENCY, RATE))
        assert digital[FREQUENCY < 300] == pytest.approx(analogue[FREQUENCY < 300], abs=2e-3)


@pytest.mark.parametrize(("family", "slope"), [("butterworth", 24), ("linkwitz-riley", 24)])
@pytest.mark.parametrize("high", [False, True])
def test_analogue_pass_level_agrees_with_the_sections(family, slope, high):
    setting = PassFilter(family=family, frequency_hz=40.0, slope_db_per_octave=slope)
    sections = (infrasonic if high else low_pass)(setting, RATE)
    low = FREQUENCY < 300
    assert pass_db(FREQUENCY, setting, high=high)[low] == pytest.approx(
        _decibels(response(sections, FREQUENCY, RATE))[low], abs=0.02
    )


def test_slopes_and_corners_that_do_not_exist_are_refused():
    odd = PassFilter(family="linkwitz-riley", frequency_hz=80.0, slope_db_per_octave=18)
    with pytest.raises(InputError, match="12, 24, 36, 48"):
        low_pass(odd, RATE)
    with pytest.raises(InputError, match="half the sample rate"):
        peaking(EqualiserBand(frequency_hz=900.0, gain_db=1.0, Q=1.0), 1000.0)
