"""What a box is taken to be before its sheet is read: stated planning values.

They are from memory, common practice, no source; these tests hold them to what is stated
and to how they grow with the cone.
"""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import BoxKind, Driver
from basswright.sound.priors import AT, SPREAD, UNKNOWNS, prior
from basswright.sound.sheet import read_sheets
from tests.sound.test_sheet_models import sheet

#: One cone of 300 mm at 4 ohm, whatever the kind of box.
ANY = {
    "areal mass": 4.0, "fs": 30.0, "Qms": 6.0, "Re": 3.5, "Xmax": 14e-3, "coil time": 0.55e-3,
    "coil exponent": 0.90, "radiator ratio": 0.45, "radiator Q": 9.0, "radiator excursion": 22e-3,
    "rear share": 0.52, "rear tuning": 32.0, "heat": 300.0, "coil seconds": 6.0,
    "magnet seconds": 1200.0,
}  # fmt: skip
#: Kind -> net volume, Qes, opening share, tuning, QL.
BY_KIND = {
    "closed": (0.030, 0.64, 0.17, 36.0, 100.0),
    "vented": (0.052, 0.53, 0.17, 36.0, 9.0),
    "passive-radiator": (0.040, 0.54, 1.4, 36.0, 9.0),
    "bandpass": (0.065, 0.55, 0.22, 56.0, 9.0),
}
PER_CENT = {
    "cone area": 5, "areal mass": 22, "fs": 14, "Qms": 30, "Qes": 22, "Re": 4.5, "Xmax": 22,
    "coil time": 28, "coil exponent": 6, "net volume": 30, "tuning": 12, "QL": 30,
    "opening share": 40, "radiator ratio": 18, "radiator Q": 35, "radiator excursion": 25,
    "rear share": 12, "rear tuning": 15, "heat": 45, "coil seconds": 45, "magnet seconds": 45,
}  # fmt: skip


def _centre(kind: BoxKind = "vented", **changes: object) -> dict[str, float]:
    mean, _ = prior(read_sheets([sheet(kind=kind, **changes)]))
    return {name: float(np.exp(mean[0, AT[name]])) for name in UNKNOWNS}


@pytest.mark.parametrize("kind", BY_KIND)
def test_centres_are_the_stated_ones(kind: BoxKind) -> None:
    """Regression of the planning values."""
    centre = _centre(kind)
    for name, value in ANY.items():
        assert centre[name] == pytest.approx(value), name
    wanted = dict(
        zip(("net volume", "Qes", "opening share", "tuning", "QL"), BY_KIND[kind], strict=True)
    )
    for name, value in wanted.items():
        assert centre[name] == pytest.approx(value), name
    assert centre["cone area"] == pytest.approx(np.pi / 4 * (0.835 * 0.30) ** 2)


def test_centres_grow_with_the_cone_by_powers() -> None:
    """From 300 to 150 mm: fs up by the root of two, volume down by 2^2.1, excursion 2^0.75."""
    large, small = _centre(), _centre(driver=Driver(size_m=0.15, count=2))
    ratio = {name: large[name] / small[name] for name in UNKNOWNS}
    assert ratio["cone area"] == pytest.approx(4)
    assert ratio["fs"] == pytest.approx(2**-0.5)
    assert ratio["Xmax"] == pytest.approx(2**0.75)
    assert ratio["radiator excursion"] == pytest.approx(2**0.75)
    assert ratio["net volume"] == pytest.approx(2**2.1 / 2)
    assert ratio["heat"] == pytest.approx(4 / 2)


def test_spreads_are_the_stated_ones_and_wider_where_less_is_known() -> None:
    """Regression; without a load the resistance is open, and so are a closed box's leaks."""
    assert {name: round(100 * spread, 6) for name, spread in SPREAD.items()} == PER_CENT
    boxes = [sheet(), sheet("b", load_ohm=None), sheet("c", kind="closed", tuning_hz=None)]
    mean, spread = prior(read_sheets(boxes))
    assert spread[0] == pytest.approx([SPREAD[name] for name in UNKNOWNS])
    assert spread[:, AT["Re"]] == pytest.approx([0.045, 0.45, 0.045])
    assert spread[:, AT["QL"]] == pytest.approx([0.30, 0.30, 0.80])
    assert np.exp(mean[1, AT["Re"]]) == pytest.approx(2.3)
