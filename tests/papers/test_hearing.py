"""Durations for the ears, against the published tables."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.papers.hearing import TABLE_DBA, niosh_daily_s, who_weekly_s

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
