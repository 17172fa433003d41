"""Loudness as heard, against ISO 226 and IEC 61672-1."""

from __future__ import annotations

import numpy as np
import pyfar as pf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from basswright.errors import InputError
from basswright.sound.loudness import (
    CONTOUR_FREQUENCY_HZ,
    QUIETEST_PHON,
    a_weighting_db,
    bass_phon,
    contour_db,
    db_per_doubling,
    is_extrapolated,
    phon,
    sone,
    times_as_loud,
    times_as_loud_by_ten_db,
)

BASS = np.array([20, 25, 31.5, 40, 50, 63, 80, 100, 1000])

# Contours of ISO 226:2003 at 40, 60 and 80 phon, as computed by the loudness library
# mosqito 1.2.1 from its own copy of the standard's table.
CONTOURS_2003 = {
    40: [99.9, 93.9, 88.2, 82.6, 77.8, 73.1, 68.5, 64.4, 40.0],
    60: [109.5, 104.2, 99.1, 94.2, 90.0, 85.9, 82.1, 78.7, 60.0],
    80: [119.0, 114.2, 109.6, 105.3, 101.7, 98.4, 95.2, 92.5, 80.0],
}
# Contours of ISO 226:2023, worked from formula (1) and table 1.
CONTOURS_2023 = {
    40: [99.7, 93.9, 88.2, 82.7, 77.8, 73.0, 68.3, 64.2, 40.0],
    60: [109.4, 104.2, 99.1, 94.2, 89.9, 85.8, 81.9, 78.5, 60.0],
    80: [118.9, 114.2, 109.7, 105.4, 101.8, 98.3, 95.1, 92.5, 80.0],
}
# Decibels that double the loudness from 60 phon, ISO 226:2003 and 2023.
DOUBLING_2003 = [4.75, 5.02, 5.31, 5.60, 5.91, 6.24, 6.59, 6.94, 10.0]
DOUBLING_2023 = [4.75, 5.02, 5.32, 5.64, 5.95, 6.29, 6.64, 7.00, 10.0]


@pytest.mark.parametrize(("edition", "table"), [(2003, CONTOURS_2003), (2023, CONTOURS_2023)])
@pytest.mark.parametrize("level", [40, 60, 80])
def test_contours_agree_with_the_standard(edition, table, level):
    # Table values are rounded to 0.1 dB; at 1 kHz the 2003 formula itself is 0.02 off.
    np.testing.assert_allclose(
        contour_db(level, BASS, edition=edition), table[level], atol=0.065, rtol=0
    )


@pytest.mark.parametrize(("edition", "expected"), [(2003, DOUBLING_2003), (2023, DOUBLING_2023)])
def test_bass_needs_fewer_decibels_to_double(edition, expected):
    level = contour_db(60.0, BASS, edition=edition)
    np.testing.assert_allclose(
        db_per_doubling(level, BASS, edition=edition), expected, atol=0.006, rtol=0
    )


@pytest.mark.parametrize("edition", [2003, 2023])
def test_threshold_of_hearing_lies_on_the_quietest_contours(edition):
    # ISO 389-7: the threshold at 1 kHz is 2.4 dB, so 2.4 phon is heard just about.
    thresholds = {20: 78.3, 50: 44.0, 100: 26.5}
    for frequency, level in thresholds.items():
        assert contour_db(2.4, frequency, edition=edition) == pytest.approx(level, abs=0.4)


@given(
    st.floats(5, 120),
    st.sampled_from(list(CONTOUR_FREQUENCY_HZ)),
    st.sampled_from([2003, 2023]),
)
def test_phon_undoes_the_contour(level, frequency, edition):
    there = contour_db(level, frequency, edition=edition)
    assert phon(there, frequency, edition=edition) == pytest.approx(level, abs=1e-6)


def test_sone_doubles_every_ten_phon():
    # Stevens 1955; ISO 532-1: 40 phon is 1 sone.
    np.testing.assert_allclose(sone([40, 50, 60, 100]), [1, 2, 4, 64], rtol=1e-12)
    assert sone(20.0) == pytest.approx(0.5**2.642)


@given(st.floats(0, 130), st.floats(0.1, 20))
def test_sone_rises_with_phon(level, more):
    assert sone(level + more) >= sone(level)


def test_twice_the_power_is_more_than_half_of_a_doubling_at_25_hz():
    # 2^(3.01/5.02), 2^(3.01/5.60), 2^(3.01/6.59): ISO 226:2003 doublings from 60 phon.
    frequency = np.array([25.0, 40.0, 80.0])
    below = contour_db(60.0, frequency, edition=2003)
    ratio = times_as_loud(below + 3.0103, below, frequency, edition=2003)
    np.testing.assert_allclose(ratio, [1.52, 1.45, 1.37], atol=0.01)
    assert times_as_loud_by_ten_db(3.0103, 0.0) == pytest.approx(1.232, abs=1e-3)


def test_both_rules_agree_at_1_khz():
    assert times_as_loud(70.0, 60.0, 1000.0) == pytest.approx(
        times_as_loud_by_ten_db(70.0, 60.0), rel=1e-3
    )


def test_below_hearing_stays_finite():
    assert phon(10.0, 25.0) == pytest.approx(QUIETEST_PHON)
    assert times_as_loud(10.0, -40.0, 25.0) == pytest.approx(1.0)


def test_bass_spectrum_of_one_band_is_that_tone():
    levels = np.full(3, -100.0)
    levels[1] = 100.0
    assert bass_phon(levels, [31.5, 40.0, 50.0]) == pytest.approx(
        float(phon(100.0, 40.0)), abs=0.01
    )


def test_two_equally_loud_bands_add_as_energy():
    # Within one critical band 3 dB more at 50 Hz: half a doubling (5.95 dB) and a bit.
    frequency = np.array([40.0, 63.0])
    both = bass_phon(contour_db(60.0, frequency), frequency)
    assert both == pytest.approx(60 + 10 * 3.0103 / 5.95, abs=0.05)


def test_levels_beyond_the_standard_are_said_to_be():
    assert list(is_extrapolated([10, 20, 90, 95])) == [True, False, False, True]


# Table 3 of IEC 61672-1 [dB], as carried by the acoustics library pyfar.
A_TABLE = {10: -70.4, 20: -50.5, 31.5: -39.4, 63: -26.2, 80: -22.5, 125: -16.1, 200: -10.9}


@pytest.mark.parametrize(("nominal", "expected"), A_TABLE.items())
def test_a_weighting_agrees_with_the_table_at_the_exact_frequencies(nominal, expected):
    exact = 1000 * 10 ** (round(10 * np.log10(nominal / 1000)) / 10)
    assert a_weighting_db(exact) == pytest.approx(expected, abs=0.051)


def test_a_weighting_agrees_with_pyfar():
    _, expected = pf.constants.frequency_weighting_band_corrections("A", 3, (10, 20000))
    exact = 1000 * 10 ** (np.arange(-20, 14) / 10)
    np.testing.assert_allclose(a_weighting_db(exact), expected, atol=0.06)


@pytest.mark.parametrize("frequency", [10.0, 20000.0, np.nan])
def test_frequencies_without_contours_are_refused(frequency):
    with pytest.raises(InputError, match="frequency_hz"):
        phon(80.0, frequency)


def test_levels_that_are_no_numbers_are_refused():
    with pytest.raises(InputError, match="level_db"):
        phon([80.0, np.nan], 50.0)
    with pytest.raises(InputError, match="frequency_hz"):
        a_weighting_db([0.0, 50.0])
    with pytest.raises(InputError, match="first critical band"):
        bass_phon([80.0], [200.0])


def test_at_one_kilohertz_a_phon_is_a_decibel():
    # By the definition of the phon; exact in the 2023 edition, whose formula (1) cancels there.
    level = np.array([4.0, 20.0, 40.0, 90.0])
    np.testing.assert_allclose(contour_db(level, 1000.0), level, rtol=1e-9)


@pytest.mark.parametrize("level", [5.0, 20.0, 60.0])
def test_the_2003_formula_at_one_kilohertz(level):
    # Formula (1) with table 1's row for 1 kHz: alpha 0.250, L_U 0, T_f 2.4 dB.
    heard = (0.4 * 10 ** (2.4 / 10 - 9)) ** 0.25
    total = 4.47e-3 * (10 ** (0.025 * level) - 1.15) + heard
    expected = 10 / 0.25 * np.log10(total) + 94
    assert contour_db(level, 1000.0, edition=2003) == pytest.approx(expected, rel=1e-9)


def test_bands_up_to_a_hundred_hertz_belong_together():
    assert np.isfinite(bass_phon([80.0], [100.0]))
    with pytest.raises(InputError, match="first critical band"):
        bass_phon([80.0], [100.5])
