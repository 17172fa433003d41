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


@pytest.mark.parametrize(("kind", "left"), [("closed", 0.98), ("vented", 0.94), ("bandpass", 0.94)])
def test_ports_and_braces_take_room_inside(kind: str, left: float) -> None:
    """6 % with a port, 2 % without, and 3.5 L for a 300 mm cone, an eighth of it for 150 mm
    (common practice, no source)."""
    inside = (0.60 - 0.032) * (0.36 - 0.032) * (0.34 - 0.032)
    large, small = (
        read_sheets([sheet(kind=kind, driver=Driver(size_m=size, count=2))]).shell_m3[0]
        for size in (0.30, 0.15)
    )
    assert large == pytest.approx(left * inside - 2 * 3.5e-3)
    assert small == pytest.approx(left * inside - 2 * 3.5e-3 / 8)


def test_the_volume_inside_is_as_unsure_as_the_panels() -> None:
    """Walls of 14 to 18 mm either way, and 8 % for what is inside, added as squares; never
    less than a tenth of the room is left."""
    sheets = read_sheets([sheet()])

    def inside(wall: float) -> float:
        return (0.60 - 2 * wall) * (0.36 - 2 * wall) * (0.34 - 2 * wall)

    walls = np.log(inside(0.014) / inside(0.018)) / 2
    assert sheets.shell_spread[0] == pytest.approx(np.hypot(walls, 0.08))
    tiny = Wedge(width_m=0.30, height_m=0.20, depth_bottom_m=0.15, depth_top_m=0.05)
    small = read_sheets([sheet(shape=tiny, driver=Driver(size_m=0.30))])
    assert small.shell_m3[0] == pytest.approx(0.1 * (0.268 * 0.168 * 0.068))


def test_openings_that_are_not_told_stay_unknown() -> None:
    """A closed box with a port on its sheet, radiators that are missing or without a size."""
    boxes = [
        sheet("closed", kind="closed", tuning_hz=None, ports=Port(diameter_m=0.1)),
        sheet("none", kind="passive-radiator"),
        sheet("silent", kind="passive-radiator", radiators=PassiveRadiators(count=2)),
        sheet("area", kind="passive-radiator", radiators=PassiveRadiators(count=2, Sd_m2=0.04)),
        sheet("round", ports=Port(length_m=0.2)),
    ]
    sheets = read_sheets(boxes)
    assert np.isnan(sheets.vent_m2[[0, 1, 2, 4]]).all()
    assert sheets.vent_m2[3] == pytest.approx(0.08)
    assert np.isnan(sheets.vent_length_m[4])


def test_coils_stand_more_than_is_printed() -> None:
    """exp(0.2) of the rated power, exp(0.6) of a built-in amplifier's (common practice)."""
    own = sheet("own", power_high_w=None, amplifier={"power_w": 150.0})
    sheets = read_sheets([sheet(), own, sheet("silent", power_high_w=None)])
    assert sheets.power_w[:2].tolist() == [400.0, 150.0]
    assert sheets.power_reserve.tolist() == [0.2, 0.6, 0.6]
    assert np.isnan(sheets.power_w[2])
    assert sheets.rows(1, 2).power_w.tolist() == [150.0]
