"""Each published figure, computed from the circuit, is what its row of unknowns says."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import BoxKind, Driver, Enclosure, PassiveRadiators, Port
from basswright.sound.figures import TRUST, Linear, linear_figures
from basswright.sound.models import BoxModels
from basswright.sound.ports import effective_length
from basswright.sound.priors import UNKNOWNS, prior
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


def _unknown(figures: list[Linear], **terms: float) -> Linear:
    """Return the figure whose row holds just these unknowns (spaces for underscores)."""
    wanted = {name.replace("_", " "): factor for name, factor in terms.items()}
    found = [
        figure
        for figure in figures
        if {UNKNOWNS[i]: figure.row[i] for i in np.flatnonzero(figure.row)} == wanted
        and not np.isnan(figure.value[0])
    ]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(("qms", "taken"), [(5.0, 5.0), (None, 6.0)])
def test_qts_gives_qes_with_the_stated_or_a_typical_qms(qms: float | None, taken: float) -> None:
    """1/Qes = 1/Qts - 1/Qms; typical Qms 6 (common practice, no source)."""
    sheets = read_sheets([sheet(driver=Driver(size_m=0.3, Qts=0.42, Qms=qms))])
    found = _unknown(linear_figures(sheets, prior(sheets)[0]), Qes=1.0)
    assert np.exp(found.value[0]) == pytest.approx(1 / (1 / 0.42 - 1 / taken))
    assert found.spread[0] == pytest.approx(0.05 + 0.03)


def test_a_qts_that_no_qes_gives_is_left_alone() -> None:
    """Qts above Qms cannot be: nothing follows, and no warning comes."""
    sheets = read_sheets([sheet(driver=Driver(size_m=0.3, Qts=0.8, Qms=0.7))])
    figures = linear_figures(sheets, prior(sheets)[0])
    assert all(np.isnan(f.value[0]) for f in figures if np.flatnonzero(f.row).tolist() == [4])


def test_a_maker_s_vent_has_half_of_small_s_least_area() -> None:
    """Small's 0.8 fb Vd (1973, part II, from memory) halved; Vd = Sd Xmax of all cones."""
    sheets = read_sheets([sheet()])
    found = _unknown(
        linear_figures(sheets, prior(sheets)[0]), opening_share=1.0, tuning=-1.0, Xmax=-1.0
    )
    fb, Sd, Xmax = 35.0, 0.05, 0.012
    least = 0.8 * fb * Sd * Xmax
    assert np.exp(found.value[0]) * fb * Xmax * Sd == pytest.approx(least / 2)
    assert found.spread[0] == pytest.approx(0.30)


def test_radiators_reach_half_as_far_again_as_the_cone() -> None:
    """1.55 times its excursion (common practice, no source); their mass is trusted to 6 % and
    their own stiffness to 5 %, which add as squares."""
    radiators = PassiveRadiators(count=1, Sd_m2=0.05, Mms_kg=0.4)
    box = sheet(kind="passive-radiator", radiators=radiators, net_volume_m3=0.04, tuning_hz=None)
    sheets = read_sheets([box])
    figures = linear_figures(sheets, prior(sheets)[0])
    reach = _unknown(figures, radiator_excursion=1.0, Xmax=-1.0)
    assert np.exp(reach.value[0]) == pytest.approx(1.55)
    assert reach.spread[0] == pytest.approx(0.15)
    mass = _unknown(figures, tuning=2.0, net_volume=1.0, opening_share=-2.0, cone_area=-2.0)
    assert mass.spread[0] == pytest.approx(np.hypot(0.06, 0.05))


def test_trust_is_that_of_the_documentation() -> None:
    """Regression of the stated uncertainties of published figures (from memory)."""
    per_cent = {
        "Sd_m2": 2, "Mms_kg": 2.5, "fs_hz": 3.5, "Qes": 5, "Qms": 12, "Vas_m3": 7, "Re_ohm": 2,
        "Bl_tm": 2.5, "Xmax_m": 6, "Le_henry": 6, "net_m3": 3, "tuning_hz": 3, "vent_m2": 3,
        "port": 5, "radiator_mass_kg": 6, "radiator_Xmax_m": 6, "sensitivity_db": 13,
        "low_limit_hz": 4.5, "power_w": 25,
    }  # fmt: skip
    assert {name: round(100 * spread, 6) for name, spread in TRUST.items()} == per_cent
    sheets = read_sheets([told("vented", model("vented"))])
    figures = linear_figures(sheets, prior(sheets)[0])
    assert _unknown(figures, fs=1.0).spread[0] == 0.035
    assert _unknown(figures, heat=1.0).spread[0] == 0.25


def test_a_stated_rear_chamber_is_a_share_of_the_whole() -> None:
    """Share times net volume; its tuning by itself."""
    box = sheet(kind="bandpass", rear_volume_m3=0.03, rear_tuning_hz=31.0, net_volume_m3=0.06)
    sheets = read_sheets([box])
    figures = linear_figures(sheets, prior(sheets)[0])
    volume = _unknown(figures, rear_share=1.0, net_volume=1.0)
    assert np.exp(volume.value[0]) == pytest.approx(0.03)
    assert volume.spread[0] == pytest.approx(0.03)
    assert np.exp(_unknown(figures, rear_tuning=1.0).value[0]) == pytest.approx(31.0)
