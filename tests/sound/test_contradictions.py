"""Where figures of a sheet begin to contradict each other."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from basswright.errors import InputErrors
from basswright.records.enclosure import Cuboid, Driver, Enclosure, Port, Wedge
from basswright.sound.air import BULK_PA
from basswright.sound.contradictions import check_sheets
from basswright.sound.ports import effective_length, helmholtz_hz
from basswright.sound.sheet import read_sheets
from tests.sound.test_sheet_models import sheet

#: One cone that is true in itself: Vas and Bl by hand after Small (1972).
WS = 2 * np.pi * 30.0
VAS = BULK_PA * 0.05**2 / (WS**2 * 0.2)
BL = float(np.sqrt(WS * 0.2 * 3.5 / 0.5))


def _clashes(box: Enclosure) -> list[str]:
    try:
        check_sheets([box], read_sheets([box]))
    except InputErrors as errors:
        return [str(error.field) for error in errors.errors]
    return []


def _cone(**changes: Any) -> Enclosure:
    driver = {"size_m": 0.3, "fs_hz": 30.0, "Mms_kg": 0.2, "Sd_m2": 0.05, "Re_ohm": 3.5}
    return sheet(driver=Driver.model_validate(driver | {"Qes": 0.5} | changes))


@pytest.mark.parametrize("factor", [1.6, 1 / 1.6])
def test_vas_and_bl_may_stray_by_a_factor_of_one_point_six(factor: float) -> None:
    """Half a per cent inside passes, half a per cent outside is refused (common practice)."""
    for share, clash in ((factor**0.99, False), (factor**1.01, True)):
        assert bool(_clashes(_cone(Vas_m3=VAS * share))) is clash
        assert bool(_clashes(_cone(Bl_tm=BL * share))) is clash


def test_qts_follows_from_both_others() -> None:
    """Qes 0.5 and Qms 5 give 0.4545; 12 % away is refused."""
    for share, clash in ((1.119, False), (1.121, True)):
        box = _cone(Qms=5.0, Qts=0.5 * 5 / 5.5 * share)
        assert bool(_clashes(box)) is clash


def test_the_port_gives_the_tuning() -> None:
    """Helmholtz by hand; a factor of 1.35 is the limit, and only ports are asked."""
    length = float(effective_length(0.25, np.pi / 4 * 0.01))
    tuned = float(helmholtz_hz(0.05, np.pi / 4 * 0.01, length))
    port = Port(diameter_m=0.1, length_m=0.25)
    for share, clash in ((1.349, False), (1.351, True)):
        box = sheet(net_volume_m3=0.05, ports=port, tuning_hz=tuned * share)
        assert bool(_clashes(box)) is clash


@pytest.mark.parametrize(
    "shape",
    [
        Cuboid(width_m=0.5, height_m=0.4, depth_m=0.3),
        Wedge(width_m=0.5, height_m=0.4, depth_bottom_m=0.4, depth_top_m=0.2),
    ],
)
def test_no_box_holds_more_than_its_outside(shape: Cuboid | Wedge) -> None:
    """60 L either way."""
    assert _clashes(sheet(shape=shape, net_volume_m3=0.0599)) == []
    assert _clashes(sheet(shape=shape, net_volume_m3=0.0601)) == ["net_volume_m3"]


def test_what_follows_is_told() -> None:
    """The figure that was read, and the one that the others give."""
    box = _cone(Bl_tm=60.0)
    with pytest.raises(InputErrors, match=rf"about {BL:.4g} T m") as caught:
        check_sheets([box], read_sheets([box]))
    assert "60 T m" in str(caught.value)
