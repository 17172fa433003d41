"""Where a model is used outside its validity."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import Port, Wedge
from basswright.sound.flags import flags_of, piston_limit_hz, sheet_flags
from basswright.sound.models import joined
from tests.sound.test_sheet_models import sheet
from tests.sound.worked import BOXES


def test_a_folded_port_stands_as_a_pipe() -> None:
    """Half a wavelength long: c / 2 L (any handbook); no longer than the box is no pipe."""
    box = sheet(ports=Port(width_m=0.30, height_m=0.03, length_m=0.8), tuning_hz=None)
    assert "(800 mm) is longer than the box (600 mm)" in sheet_flags(box)[0]
    assert f"near {343.2 / 1.6:.0f} Hz" in sheet_flags(box)[0]
    assert sheet_flags(sheet(ports=Port(diameter_m=0.1, length_m=0.6))) == ()
    assert sheet_flags(sheet(ports=Port(diameter_m=0.1))) == sheet_flags(sheet()) == ()
    wedge = Wedge(width_m=0.3, height_m=0.3, depth_bottom_m=0.5, depth_top_m=0.2)
    assert sheet_flags(sheet(shape=wedge, ports=Port(diameter_m=0.1, length_m=0.49))) == ()
    assert sheet_flags(sheet(shape=wedge, ports=Port(diameter_m=0.1, length_m=0.51))) != ()


def test_a_cone_is_small_up_to_one_radian() -> None:
    """k a = 1 with a = sqrt(Sd/pi) of one cone, 533 Hz for 330 cm2."""
    box = BOXES["closed"]
    assert piston_limit_hz(box)[0, 0] == pytest.approx(532.9, abs=0.1)
    assert flags_of(box, np.array([20.0, 532.0])) == ()
    assert "above 533 Hz" in flags_of(box, np.array([20.0, 534.0]))[0]
    assert joined([box, box]).flags == ()
