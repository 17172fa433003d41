"""Allowable current against 33 CFR 183.425."""

from __future__ import annotations

import pytest

from basswright.errors import InputError
from basswright.records.electrics import Cable
from basswright.supply.ampacity import ampacity_a, bundle_share
from tests.supply.sample import cable

#: 33 CFR 183.425 table 5: AWG -> amperes at 60, 75, 80, 90, 105, 125 C insulation.
TABLE_5 = {
    "14": (20, 20, 25, 30, 35, 40),
    "12": (25, 25, 35, 40, 45, 50),
    "10": (40, 40, 50, 55, 60, 70),
    "8": (55, 65, 70, 70, 80, 90),
    "6": (80, 95, 100, 100, 120, 125),
    "4": (105, 125, 130, 135, 160, 170),
    "3": (120, 145, 150, 155, 180, 195),
    "2": (140, 170, 175, 180, 210, 225),
    "1": (165, 195, 210, 210, 245, 265),
    "1/0": (195, 230, 245, 245, 285, 305),
    "2/0": (225, 265, 285, 285, 330, 355),
    "3/0": (260, 310, 330, 330, 385, 410),
    "4/0": (300, 360, 385, 385, 445, 475),
}
CLASSES_C = (60.0, 75.0, 80.0, 90.0, 105.0, 125.0)


def _insulated(size: str, insulation_c: float, series: str = "AWG") -> Cable:
    return cable(size, series=series).model_copy(update={"insulation_c": insulation_c})


@pytest.mark.parametrize("size", TABLE_5)
def test_the_table_comes_back(size: str) -> None:
    """All sizes, all insulation classes, outside engine spaces."""
    for insulation_c, current_a in zip(CLASSES_C, TABLE_5[size], strict=True):
        found = ampacity_a(_insulated(size, insulation_c), engine_space=False)
        assert found == pytest.approx(current_a, rel=1e-3)


@pytest.mark.parametrize(
    ("size", "current_a"), [("14", 29.8), ("8", 68), ("4", 136), ("2", 178.5), ("1/0", 242.3)]
)
def test_engine_space_takes_fifteen_per_cent_at_105_c(size: str, current_a: float) -> None:
    """The factor 0.85 of the same regulation, as wholesalers print it."""
    assert ampacity_a(cable(size)) == pytest.approx(current_a, rel=2e-3)


@pytest.mark.parametrize(
    ("insulation_c", "share"),
    [(60.0, 0.58), (75.0, 0.75), (80.0, 0.78), (90.0, 0.82), (105.0, 0.85), (125.0, 0.89)],
)
def test_weaker_insulation_loses_more_in_engine_spaces(insulation_c: float, share: float) -> None:
    """33 CFR 183.425 at 50 C (0.85 read, the others from memory). They follow from the heat
    that may still be given off, sqrt((Ti - 50) / (Ti - 30)), within 0.01."""
    wire = _insulated("4", insulation_c)
    ratio = ampacity_a(wire) / ampacity_a(wire, engine_space=False)
    assert ratio == pytest.approx(share, rel=1e-6)
    assert ratio == pytest.approx(((insulation_c - 50) / (insulation_c - 30)) ** 0.5, abs=0.01)


def test_insulation_between_classes_takes_the_lower_one() -> None:
    """100 C insulation counts as 90 C."""
    assert ampacity_a(_insulated("4", 100.0)) == ampacity_a(_insulated("4", 90.0))
    with pytest.raises(InputError, match="insulation"):
        ampacity_a(cable("4").model_construct(**{**dict(cable("4")), "insulation_c": 50.0}))


def test_metric_and_sae_sizes_lie_between_their_neighbours() -> None:
    """25 mm2 (22.1 mm2 of copper) between 4 and 3 AWG; 4 SAE below 4 AWG."""
    metric = ampacity_a(cable("25", series="mm2"), engine_space=False)
    assert 160 < metric < 180
    assert 120 < ampacity_a(cable("4", series="SAE"), engine_space=False) < 160


def test_clad_cable_carries_the_current_that_heats_as_much() -> None:
    """sqrt(0.649) = 0.806."""
    clad = ampacity_a(cable("4", material="copper-clad-aluminium"))
    assert clad / ampacity_a(cable("4")) == pytest.approx(0.806, abs=1e-3)


def test_bundles_carry_less() -> None:
    """ABYC E-11 (from memory)."""
    assert [bundle_share(n) for n in (1, 2, 3, 6, 24, 30)] == [1.0, 1.0, 1.0, 0.7, 0.6, 0.5]
    assert [bundle_share(n) for n in (4, 7, 25)] == [0.7, 0.6, 0.5]
    assert ampacity_a(cable("4"), conductors=4) == pytest.approx(0.7 * ampacity_a(cable("4")))


def test_too_thin_a_cable_is_refused() -> None:
    """18 AWG is no supply cable."""
    with pytest.raises(InputError, match="too thin"):
        ampacity_a(cable("18"))
