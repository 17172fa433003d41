"""Efficiencies where a sheet is silent."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from basswright.drive import efficiency_share, outputs
from basswright.drive.efficiency import (
    GREATEST_EFFICIENCY_SHARE,
    TYPICAL_EFFICIENCY_SHARE,
    assumed_class,
)
from tests.drive.sample import mono, stereo


def test_the_sheet_goes_first() -> None:
    """A stated efficiency is used as it is."""
    assert efficiency_share(mono(efficiency_share=0.71)) == 0.71


def test_typical_figures_lie_in_the_published_ranges() -> None:
    """Whole 12 V amplifiers: class D 75 to 85 %, class AB 45 to 60 %; the output stage of
    class AB cannot exceed pi/4 (theory at the clip)."""
    assert 0.75 <= TYPICAL_EFFICIENCY_SHARE["D"] <= 0.85
    assert 0.45 <= TYPICAL_EFFICIENCY_SHARE["AB"] <= 0.60
    assert GREATEST_EFFICIENCY_SHARE["AB"] < np.pi / 4
    for kind, typical in TYPICAL_EFFICIENCY_SHARE.items():
        assert typical < GREATEST_EFFICIENCY_SHARE[kind]
    order = ("AB", "G", "H", "D")
    for lesser, better in pairwise(order):
        assert TYPICAL_EFFICIENCY_SHARE[lesser] < TYPICAL_EFFICIENCY_SHARE[better]


def test_an_unknown_class_is_assumed_from_the_channels() -> None:
    """One channel: class D; several: class AB, the more thirsty."""
    assert (assumed_class(mono()), assumed_class(stereo())) == ("D", "AB")
    table = outputs([mono(), stereo(), mono(amplifier_class="AB", idle_current_a=0.7)])
    assert table.linear_stage.tolist() == [False, True, True, True]
    assert table.efficiency_share == pytest.approx([0.80, 0.55, 0.55, 0.55])
    assert table.idle_current_a == pytest.approx([1.2, 1.2, 1.2, 0.7])


def test_planning_values_are_those_of_the_documentation() -> None:
    """Regression of the stated planning values (common practice, no source)."""
    assert TYPICAL_EFFICIENCY_SHARE == {"D": 0.80, "AB": 0.55, "G": 0.62, "H": 0.65}
    assert GREATEST_EFFICIENCY_SHARE == {"D": 0.88, "AB": 0.65, "G": 0.72, "H": 0.75}
