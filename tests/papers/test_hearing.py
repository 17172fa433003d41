"""Durations for the ears, against the published tables."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.papers import papers
from basswright.papers.hearing import (
    CHILDREN_SHARE,
    TABLE_DBA,
    highest_peak_db,
    loudest_dba,
    niosh_daily_s,
    who_weekly_s,
)
from tests.papers.conftest import made
from tests.papers.reading import words_of
from tests.papers.samples import vented
from tests.papers.test_writing import METRIC, plain

#: NIOSH, Publication 98-126, 1998, table 1-1: level in dB(A), hours, minutes, seconds.
NIOSH_TABLE = (
    (82, 16, 0, 0),
    (85, 8, 0, 0),
    (88, 4, 0, 0),
    (91, 2, 0, 0),
    (94, 1, 0, 0),
    (97, 0, 30, 0),
    (100, 0, 15, 0),
    (103, 0, 7, 30),
    (106, 0, 3, 45),
)


@pytest.mark.parametrize(("level", "hours", "minutes", "seconds"), NIOSH_TABLE)
def test_a_day_at_work_is_as_niosh_prints_it(level, hours, minutes, seconds):
    printed = 3600 * hours + 60 * minutes + seconds
    assert niosh_daily_s(level) == pytest.approx(printed, rel=1e-9)


def test_a_week_of_music_holds_the_energy_that_the_recommendation_allows():
    """ITU-T H.870: 1.6 Pa2 h in seven days for adults; 20 uPa is the reference of levels."""
    levels = np.linspace(70, 120, 26)
    pressure_squared = (20e-6) ** 2 * 10 ** (levels / 10)
    assert np.allclose(pressure_squared * who_weekly_s(levels) / 3600, 1.6)


def test_three_decibels_halve_the_week_within_a_third_of_a_percent():
    """WHO, Safe listening devices and systems, 2019: half the time for each 3 dB."""
    assert who_weekly_s(83) / who_weekly_s(80) == pytest.approx(0.5, rel=0.004)


def test_the_sheet_covers_the_limits_of_both_publications():
    assert {80.0, 85.0, 100.0} <= set(TABLE_DBA)
    assert list(TABLE_DBA) == sorted(TABLE_DBA)


#: ITU-T H.870, mode 1, weekly exposure by level: dB(A), hours (3 dB exchange as printed there).
WEEKS = ((80, 40.0), (83, 20.0), (86, 10.0), (89, 5.0), (92, 2.5), (95, 1.25), (98, 0.625))


@pytest.mark.parametrize(("level", "hours"), WEEKS)
def test_a_week_of_music_is_as_the_recommendation_prints_it(level, hours):
    """The table there halves for each 3 dB; equal energy differs by 1.5 % at its end."""
    assert who_weekly_s(level) / 3600 == pytest.approx(hours, rel=0.015)


def test_children_have_the_time_of_a_level_five_decibels_louder():
    """ITU-T H.870, mode 2: 75 dB(A) for 40 h."""
    assert CHILDREN_SHARE * who_weekly_s(75) == pytest.approx(who_weekly_s(80))


#: IEC 61672-1:2013, table 3: nominal frequency, A-weighting to a tenth.
A_WEIGHTS = ((20, -50.5), (25, -44.7), (31.5, -39.4), (40, -34.6), (50, -30.2), (63, -26.2))


@pytest.mark.parametrize(("frequency", "weight"), A_WEIGHTS)
def test_a_tone_reads_what_the_weighting_of_the_standard_leaves(frequency, weight):
    assert loudest_dba([frequency], [120.0]) == pytest.approx(120 + weight, abs=0.15)


def test_the_loudest_reading_need_not_be_the_loudest_tone():
    """130 - 39.4 = 90.6 dB(A) at 31.5 Hz, 115 - 22.5 = 92.5 dB(A) at 80 Hz."""
    assert loudest_dba([31.5, 80.0], [130.0, 115.0]) == pytest.approx(92.5, abs=0.15)


def test_the_peak_of_a_sine_is_three_decibels_above_its_level():
    assert highest_peak_db([110.0, 120.0]) == pytest.approx(120 + 20 * np.log10(2**0.5), abs=1e-3)


@pytest.mark.parametrize(
    ("seconds", "written"),
    [
        (900.0, "15 min"),
        (899.0, "14 min"),
        (12.65 * 3600, "12.6 h"),
        (7200.0, "2 h"),
        (40 * 3600.0, "40 h"),
        (59.9, "59 s"),
    ],
)
def test_times_that_must_not_be_passed_are_rounded_down(seconds, written):
    assert plain(METRIC.at_most(seconds)) == written


def test_the_sheet_tells_how_long_this_system_may_play_at_its_loudest():
    """Recomputed from the bands alone: level up, times down."""
    told = made(vented())
    weights = {31.5: -39.4, 40: -34.6, 50: -30.2, 63: -26.2, 80: -22.5, 100: -19.1}
    bands = [band for band in told.promise.bands if band.frequency_hz in weights]
    reading = max(band.high_db + weights[band.frequency_hz] for band in bands)
    text = plain("\n".join(words_of(papers(told)[3])))
    shown = int(text.partition("alone can read ")[2].partition(" dB(A)")[0])
    assert reading - 0.2 <= shown <= reading + 1.2
    day_min = 480 / 2 ** ((shown - 85) / 3)
    assert f"that is {int(day_min / 6) / 10:g} h a day" in text or f"{int(day_min)} min" in text
    assert "no children in the car" in text
