"""What is read off a sheet: volumes inside panels, openings, lengths."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import Driver, PassiveRadiators, Port, Wedge
from basswright.sound.sheet import read_sheets
from tests.sound.test_sheet_models import sheet


def test_inside_of_a_wedge() -> None:
    """Outer size less 16 mm panels, 3.5 L for a 300 mm cone, 2 % braces (common practice)."""
    wedge = Wedge(width_m=0.60, height_m=0.40, depth_bottom_m=0.40, depth_top_m=0.20)
    sheets = read_sheets([sheet(kind="closed", tuning_hz=None, shape=wedge)])
    inside = (0.60 - 0.032) * (0.40 - 0.032) * (0.30 - 0.032)
    assert sheets.shell_m3[0] == pytest.approx(0.98 * inside - 3.5e-3, rel=1e-9)
    assert 0.08 < sheets.shell_spread[0] < 0.12


def test_openings() -> None:
    """Two tubes, a slot, and radiators of which only the nominal size is told."""
    boxes = [
        sheet("tubes", ports=Port(count=2, diameter_m=0.10, length_m=0.2)),
        sheet("slot", ports=Port(width_m=0.30, height_m=0.03)),
        sheet("cone", kind="passive-radiator", radiators=PassiveRadiators(count=2, size_m=0.30)),
        sheet("none"),
    ]
    sheets = read_sheets(boxes)
    wanted = [np.pi * 0.1**2 / 2, 0.009, np.pi / 2 * (0.835 * 0.30) ** 2]
    np.testing.assert_allclose(sheets.vent_m2[:3], wanted, rtol=1e-12)
    assert np.isnan(sheets.vent_m2[3])
    assert sheets.vent_length_m[0] == pytest.approx(0.2 + 0.05 * (0.6133 + 0.8216))
    assert np.isnan(sheets.vent_length_m[1])


def test_piston_size_lies_in_the_trade_s_range() -> None:
    """A 300 mm cone moves 460 to 530 cm2 of air (common practice, no source)."""
    from basswright.sound.priors import AT, prior

    mean, _ = prior(read_sheets([sheet(driver=Driver(size_m=0.30))]))
    assert 0.046 < np.exp(mean[0, AT["cone area"]]) < 0.053
