"""Resistance of cables against the published tables."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.records.electrics import ConductorMaterial
from basswright.supply.conductors import (
    area_m2,
    awg_diameter_m,
    resistance_20c_ohm_per_m,
    resistance_ohm_per_m,
)
from tests.supply.sample import cable

#: NEC chapter 9 table 8, uncoated stranded copper at 75 C [ohm per 1000 ft] (from memory).
NEC_75C = {
    "14": 3.14,
    "12": 1.98,
    "10": 1.24,
    "8": 0.778,
    "6": 0.491,
    "4": 0.308,
    "3": 0.245,
    "2": 0.194,
    "1": 0.154,
    "1/0": 0.122,
    "2/0": 0.0967,
    "3/0": 0.0766,
    "4/0": 0.0608,
}
#: IEC 60228 class 5, largest resistance at 20 C [ohm/km].
CLASS_5 = {
    "1.5": (13.3, 13.7),
    "2.5": (7.98, 8.21),
    "4": (4.95, 5.09),
    "6": (3.30, 3.39),
    "10": (1.91, 1.95),
    "16": (1.21, 1.24),
    "25": (0.780, 0.795),
    "35": (0.554, 0.565),
    "50": (0.386, 0.393),
    "70": (0.272, 0.277),
    "95": (0.206, 0.210),
}
#: ISO 6722-1, largest resistance at 20 C [mohm/m] (from memory).
ISO_6722 = {"10": 1.82, "16": 1.16, "25": 0.743, "35": 0.527, "50": 0.368, "70": 0.259}


def test_awg_diameters_have_their_two_fixed_points_and_their_step() -> None:
    """36 AWG is 0.005 in, 4/0 is 0.460 in (ASTM B258); three steps double the area."""
    assert awg_diameter_m("36") == pytest.approx(0.005 * 0.0254)
    assert awg_diameter_m("4/0") == pytest.approx(0.460 * 0.0254)
    assert awg_diameter_m("3") / awg_diameter_m("4") == pytest.approx(92 ** (1 / 39))
    assert area_m2(cable("1")) / area_m2(cable("4")) == pytest.approx(2.005, abs=1e-3)


@pytest.mark.parametrize(("size", "area_mm2"), [("14", 2.081), ("4", 21.15), ("1/0", 53.48)])
def test_awg_areas(size: str, area_mm2: float) -> None:
    """Printed in every AWG table (ASTM B258)."""
    assert area_m2(cable(size)) * 1e6 == pytest.approx(area_mm2, rel=3e-4)


@pytest.mark.parametrize("size", NEC_75C)
def test_awg_resistance_agrees_with_the_national_electrical_code(size: str) -> None:
    """Stranded copper at 75 C within 0.6 % of NEC chapter 9 table 8."""
    ohm_per_kft = resistance_ohm_per_m(cable(size), 75.0) * 304.8
    assert ohm_per_kft == pytest.approx(NEC_75C[size], rel=6e-3)


@pytest.mark.parametrize(("size", "ohm_per_km"), [("14", 8.286), ("8", 2.061), ("4/0", 0.1608)])
def test_solid_awg_resistance(size: str, ohm_per_km: float) -> None:
    """Solid copper at 20 C: 1/58 ohm mm2/m over the area (100 % IACS, IEC 60028)."""
    solid = resistance_20c_ohm_per_m(cable(size)) / 1.02
    assert solid * 1e3 == pytest.approx(ohm_per_km, rel=2e-3)


@pytest.mark.parametrize("size", CLASS_5)
def test_metric_sizes_are_those_of_iec_60228(size: str) -> None:
    """Plain and tinned class 5 conductors."""
    plain, tinned = CLASS_5[size]
    assert resistance_20c_ohm_per_m(cable(size, series="mm2")) * 1e3 == pytest.approx(plain)
    tin = cable(size, series="mm2", material="tinned-copper")
    assert resistance_20c_ohm_per_m(tin) * 1e3 == pytest.approx(tinned)


@pytest.mark.parametrize("size", ISO_6722)
def test_metric_sizes_are_no_better_than_road_vehicle_cable(size: str) -> None:
    """ISO 6722-1 allows 4 to 6 % less than IEC 60228: the planning figure is the safe one."""
    ours = resistance_20c_ohm_per_m(cable(size, series="mm2")) * 1e3
    assert 1.03 < ours / ISO_6722[size] < 1.06


#: SAE J1127 conductor sizes [circular mil], from a cable trade glossary.
SAE_CMIL = {"6": 24538, "4": 37360, "2": 62450, "1/0": 98980, "2/0": 125100, "4/0": 205500}
#: SAE J1128 sizes [mm2] (from memory).
SAE_MM2 = {"14": 1.85, "12": 2.91, "10": 4.65, "8": 7.23}


@pytest.mark.parametrize("size", [*SAE_CMIL, *SAE_MM2])
def test_sae_areas(size: str) -> None:
    """One circular mil is pi/4 of a square mil."""
    mil_m2 = np.pi / 4 * (0.0254e-3) ** 2
    area = SAE_CMIL[size] * mil_m2 if size in SAE_CMIL else SAE_MM2[size] * 1e-6
    assert area_m2(cable(size, series="SAE")) == pytest.approx(area, rel=1e-6)


def test_warm_copper_agrees_with_the_national_electrical_code() -> None:
    """R2 = R1 (1 + 0.00323 (T2 - 75)), NEC chapter 9: from 75 down to 20 C."""
    wire = cable("4")
    ratio = resistance_20c_ohm_per_m(wire) / resistance_ohm_per_m(wire, 75.0)
    assert ratio == pytest.approx(1 + 0.00323 * (20 - 75), rel=5e-4)
    assert resistance_ohm_per_m(wire, 20.0) == resistance_20c_ohm_per_m(wire)


def test_tinning_costs_what_it_costs_in_iec_60228() -> None:
    """1.7 to 3.1 % more resistance in its two columns; AWG takes the upper end."""
    ratios = [tinned / plain for plain, tinned in CLASS_5.values()]
    ours = resistance_20c_ohm_per_m(cable("4", material="tinned-copper"))
    ratio = ours / resistance_20c_ohm_per_m(cable("4"))
    assert sorted(ratios)[len(ratios) // 2] < ratio < max(ratios) + 1e-3


@pytest.mark.parametrize(("size", "share"), [("6", 0.935), ("4", 0.895), ("1/0", 0.937)])
def test_sae_sizes_hold_less_copper_than_awg(size: str, share: float) -> None:
    """SAE J1127 conductors: 3 to 11 % less than AWG of the same number."""
    sae = cable(size, series="SAE")
    assert area_m2(sae) / area_m2(cable(size)) == pytest.approx(share, abs=2e-3)
    ratio = resistance_20c_ohm_per_m(sae) / resistance_20c_ohm_per_m(cable(size))
    assert ratio == pytest.approx(1 / share, rel=3e-3)


@pytest.mark.parametrize(
    ("temperature_c", "factor"), [(30.0, 0.962), (50.0, 0.893), (75.0, 0.820), (90.0, 0.781)]
)
def test_warm_copper_agrees_with_the_factors_of_iec_60228(
    temperature_c: float, factor: float
) -> None:
    """1/(1 + 0.004 (T - 20)); ours is 0.00393, up to 0.5 % less at 90 C."""
    wire = cable("16", series="mm2")
    ratio = resistance_20c_ohm_per_m(wire) / resistance_ohm_per_m(wire, temperature_c)
    assert ratio == pytest.approx(factor, rel=5e-3)


def test_copper_clad_aluminium_has_about_two_thirds_of_the_conductivity() -> None:
    """10 % copper by volume: 62 to 68 % IACS; ASTM B566 allows 0.02743 ohm mm2/m (from
    memory), and the same drop takes about two AWG sizes more."""
    clad = cable("4", material="copper-clad-aluminium")
    ratio = resistance_20c_ohm_per_m(cable("4")) / resistance_20c_ohm_per_m(clad)
    assert ratio == pytest.approx(0.649, abs=1e-3)
    assert resistance_20c_ohm_per_m(cable("2", material="copper-clad-aluminium")) == pytest.approx(
        resistance_20c_ohm_per_m(cable("4")), rel=0.04
    )
    warm = resistance_ohm_per_m(clad, 75) / resistance_20c_ohm_per_m(clad)
    copper = 0.10 / (0.10 + 0.90 * 0.61)
    assert warm == pytest.approx(1 + 55 * (copper * 0.00393 + (1 - copper) * 0.00403), rel=1e-6)


MATERIALS: tuple[ConductorMaterial, ...] = ("copper", "tinned-copper", "copper-clad-aluminium")


@pytest.mark.parametrize("material", MATERIALS)
def test_tinned_and_clad_are_never_better_than_copper(material: ConductorMaterial) -> None:
    """In all three series."""
    for series, size in (("AWG", "4"), ("SAE", "4"), ("mm2", "25")):
        ours = resistance_20c_ohm_per_m(cable(size, series=series, material=material))
        plain = resistance_20c_ohm_per_m(cable(size, series=series))
        assert ours == plain if material == "copper" else ours > plain


@pytest.mark.parametrize(
    ("series", "size"), [("AWG", "5/0"), ("AWG", "x"), ("SAE", "3"), ("mm2", "17"), ("mm2", "4/0")]
)
def test_sizes_that_do_not_exist_are_named(series: str, size: str) -> None:
    """With what is allowed."""
    with pytest.raises(InputError, match="size") as caught:
        resistance_20c_ohm_per_m(cable(size, series=series))
    assert caught.value.allowed
    assert np.isfinite(resistance_20c_ohm_per_m(cable("4")))


@pytest.mark.parametrize(
    ("size", "metal_mm2"),
    [("10", 9.03), ("16", 14.25), ("25", 22.10), ("50", 44.67), ("95", 83.70)],
)
def test_a_metric_size_holds_the_copper_that_its_resistance_stands_for(
    size: str, metal_mm2: float
) -> None:
    """1/58 ohm mm2/m over the class 5 resistance of IEC 60228 (1.91, 1.21, 0.780 ... ohm/km)."""
    assert area_m2(cable(size, series="mm2")) * 1e6 == pytest.approx(metal_mm2, abs=0.01)
