"""Each published figure, computed from the circuit, is what its row of unknowns says."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import BoxKind, Driver, Enclosure, PassiveRadiators, Port
from basswright.sound.figures import linear_figures
from basswright.sound.models import BoxModels
from basswright.sound.ports import effective_length
from basswright.sound.priors import UNKNOWNS
from basswright.sound.sheet import read_sheets
from tests.sound.test_lumped import STATE, model
from tests.sound.test_sheet_models import sheet


def told(kind: BoxKind, box: BoxModels) -> Enclosure:
    """Return a sheet that states everything, computed from the circuit of two cones."""
    area, per_mass = box.rear.vent_area_m2[0, 0], box.rear.vent_per_mass[0, 0]
    driver = Driver(
        size_m=0.30, count=2, Re_ohm=3.5, fs_hz=29.0, Qes=0.55, Qms=5.0, Sd_m2=0.05,
        Xmax_m=0.013, Mms_kg=0.21, Vas_m3=float(box.Vas_m3[0, 0]) / 2,
        Bl_tm=float(box.Bl_tm[0, 0]), Le_henry=6e-4 * 3.5,
    )  # fmt: skip
    radiators = PassiveRadiators(
        count=2, Sd_m2=float(area) / 2, Mms_kg=float(area**2 / per_mass) / 2, Xmax_m=0.02
    )
    length = area / (1.204 * per_mass)
    port = Port(
        count=2,
        diameter_m=float(np.sqrt(2 * area / np.pi)),
        length_m=float(length - effective_length(0.0, area / 2)),
    )
    return sheet(
        kind=kind,
        driver=driver,
        load_ohm=2.0,
        sensitivity_db=float(box.sensitivity_db[0, 0]),
        net_volume_m3=0.05,
        tuning_hz=None,
        radiators=radiators if kind == "passive-radiator" else None,
        ports=port if kind == "vented" else None,
        power_high_w=500.0 / float(np.exp(0.2)),
    )


@pytest.mark.parametrize("kind", ["vented", "passive-radiator"])
def test_rows_reproduce_the_figures(kind: BoxKind) -> None:
    """Row times unknowns is the logarithm of the figure, for all that the sheet states."""
    state = np.log([STATE[name] for name in UNKNOWNS])
    sheets = read_sheets([told(kind, model(kind))])
    found = [
        (float(figure.row @ state), float(figure.value[0]))
        for figure in linear_figures(sheets, state[None])
        if not np.isnan(figure.value[0])
    ]
    habits = 1
    exact = [pair for pair in found if abs(pair[0] - pair[1]) < 1e-3]
    assert len(found) - len(exact) == habits
    assert len(exact) >= 15


def test_bl_of_one_cone_follows_from_the_wiring() -> None:
    """Two parallel cones act like one with the same Bl at half the resistance."""
    box = model("vented")
    each = np.sqrt(2 * np.pi * 29 * 0.21 * 3.5 / 0.55)
    assert box.Bl_tm[0, 0] == pytest.approx(each, rel=1e-9)
