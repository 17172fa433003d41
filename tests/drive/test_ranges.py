"""Power ranges of boxes whose sheets are silent."""

from __future__ import annotations

from typing import Any

import pytest

from basswright.drive import power_ranges
from tests.drive.sample import box


def _silent(size_m: float, count: int = 1, **changes: Any) -> Any:
    values = {"power_low_w": None, "power_high_w": None, **changes}
    return box(driver={"size_m": size_m, "count": count}, **values)


def test_the_top_of_a_silent_sheet_goes_with_the_cone() -> None:
    """165 to 460 mm: 80 to 600 W (planning values: common practice, no source)."""
    sizes = (0.165, 0.20, 0.25, 0.30, 0.38, 0.46)
    found = power_ranges([_silent(size) for size in sizes])
    assert found.high_w.tolist() == pytest.approx([80, 130, 220, 300, 450, 600])
    assert found.low_w == pytest.approx(found.high_w / 3)
    assert found.estimated.all()


def test_between_sizes_it_runs_straight_and_grows_with_the_cones() -> None:
    """A 10 inch cone of 275 mm lies half-way from 220 to 300 W; two take twice as much."""
    found = power_ranges([_silent(0.275), _silent(0.275, count=2), _silent(0.10), _silent(0.5)])
    assert found.high_w.tolist() == pytest.approx([260, 520, 80, 600])


def test_what_the_sheet_says_is_kept() -> None:
    """One end is enough; the other never crosses it, and the guess is flagged."""
    found = power_ranges(
        [
            box(),
            box(power_low_w=None, power_high_w=240.0),
            box(power_low_w=90.0, power_high_w=None),
            box(power_low_w=400.0, power_high_w=None),
        ]
    )
    assert found.low_w.tolist() == pytest.approx([100, 80, 90, 400])
    assert found.high_w.tolist() == pytest.approx([200, 240, 300, 400])
    assert found.estimated.tolist() == [False, True, True, True]
