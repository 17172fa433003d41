"""A cabin corrected by measured cars of its kind."""

from __future__ import annotations

import numpy as np
import pytest

from basswright import jobs
from basswright.errors import InputError
from basswright.sound.cabin import cabin_for, learned_cabin

GRID = np.geomspace(10, 150, 30)
CONE = np.array([[-0.4, 0.1, 0.25]])


@pytest.fixture(scope="module")
def base():
    return cabin_for(jobs.parse_job(jobs.sample_text("hatchback")).car)


def _levels(cabin):
    return 20 * np.log10(np.abs(cabin.transfer(GRID, CONE, draws=40)[0]))


def test_the_middle_moves_by_the_shift_and_the_draws_close_up(base):
    """Where the cars were measured: exactly, but for draws that were cut off at 15 dB."""
    shift = np.linspace(-3, 4, GRID.size)
    after = learned_cabin(
        base, GRID, shift_db=shift, spread_share=np.full(GRID.size, 0.4), cones_m=CONE, cars=5
    )
    plain, moved = _levels(base), _levels(after)
    assert moved[0] - plain[0] == pytest.approx(shift, abs=1e-9)
    off, left = plain - plain[0], moved - moved[0]
    usual = np.abs(off) < 15
    assert left[usual] == pytest.approx(0.4 * off[usual], abs=1e-9)
    assert "measured cars of this kind: 5" in after.why


def test_a_whole_spread_and_no_shift_change_nothing(base):
    same = learned_cabin(
        base,
        GRID,
        shift_db=np.zeros(GRID.size),
        spread_share=np.ones(GRID.size),
        cones_m=CONE,
        cars=1,
    )
    assert same.transfer(GRID, CONE, draws=5) == pytest.approx(base.transfer(GRID, CONE, draws=5))


@pytest.mark.parametrize(
    "wrong",
    [
        {"frequency_hz": GRID[::-1]},
        {"shift_db": np.zeros(3)},
        {"shift_db": np.full(GRID.size, np.nan)},
        {"spread_share": np.zeros(GRID.size)},
    ],
)
def test_senseless_curves_are_refused(base, wrong):
    given = {
        "frequency_hz": GRID,
        "shift_db": np.zeros(GRID.size),
        "spread_share": np.ones(GRID.size),
        **wrong,
    }
    with pytest.raises(InputError):
        learned_cabin(base, given.pop("frequency_hz"), **given, cones_m=CONE, cars=1)
