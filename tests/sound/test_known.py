"""Boxes from known parameters against relations of Small (1972-1974)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.sound.air import BULK_PA
from basswright.sound.known import KnownDriver, KnownPort, known_box
from basswright.sound.models import Chamber
from tests.sound.worked import BOXES, CLOSED, DRIVER, RADIATOR, VENTED


def test_small_s_parameters_follow_from_the_mechanics() -> None:
    """fs, Qes, Qms, Qts and Vas by hand from 110 g, 0.2 mm/N, 14.5 T m and 330 cm2."""
    box = BOXES["closed"]
    ws = 1 / np.sqrt(0.110 * 2e-4)
    assert box.fs_hz[0, 0] == pytest.approx(ws / (2 * np.pi))
    assert box.Qes[0, 0] == pytest.approx(ws * 0.110 * 3.6 / 14.5**2)
    assert box.Qms[0, 0] == pytest.approx(ws * 0.110 / 3.8)
    assert 1 / box.Qts[0, 0] == pytest.approx(1 / box.Qes[0, 0] + 1 / box.Qms[0, 0])
    assert box.Vas_m3[0, 0] == pytest.approx(BULK_PA * 0.033**2 * 2e-4)


def test_losses_of_a_vented_box_have_their_q() -> None:
    """QL = wb Ral Cab, QA = 1/(wb Raa Cab), Qp = wb Map / Rap (Small 1973, part I)."""
    port = KnownPort(area_m2=0.008, effective_length_m=0.5, Qp=40.0, speed_m_per_s=20.0)
    box = known_box(DRIVER, replace(VENTED, QL=7.0, QA=30.0, opening=port)).rear
    wb = 343.2 * np.sqrt(0.008 / (0.036 * 0.5))
    compliance = 0.036 / BULK_PA
    assert box.tuning_hz[0, 0] == pytest.approx(wb / (2 * np.pi), rel=1e-9)
    assert wb * compliance / box.leak[0, 0] == pytest.approx(7.0)
    assert 1 / (wb * box.absorption_s[0, 0]) == pytest.approx(30.0)
    assert wb / box.vent_damping_per_s[0, 0] == pytest.approx(40.0)
    assert box.vent_per_mass[0, 0] == pytest.approx(0.008 / (1.204 * 0.5))
    assert (box.vent_area_m2[0, 0], box.vent_speed_m_per_s[0, 0]) == (0.008, 20.0)
    assert box.vent_excursion_m[0, 0] == 1e9


def test_losses_of_a_closed_box_count_at_its_own_resonance() -> None:
    """fc = fs sqrt(1 + Vas/Vb)."""
    box = known_box(DRIVER, replace(CLOSED, QL=10.0, QA=20.0), count=2)
    wc = 2 * np.pi * box.fs_hz[0, 0] * np.sqrt(1 + box.Vas_m3[0, 0] / 0.020)
    assert wc * (box.rear.compliance / box.rear.leak)[0, 0] == pytest.approx(10.0)
    assert 1 / (wc * box.rear.absorption_s[0, 0]) == pytest.approx(20.0)


def test_a_radiator_resonates_with_its_own_suspension_and_the_air() -> None:
    """wb^2 = wp^2 + rho c^2 Sp^2 / (V Mp), wp^2 = 1/(Mp Cp) (Small 1974, part I)."""
    rear = BOXES["passive-radiator"].rear
    own = 1 / (0.33 * 3.5e-4)
    square = own + BULK_PA * 0.048**2 / (0.024 * 0.33)
    assert rear.vent_stiffness_per_s2[0, 0] == pytest.approx(own)
    assert rear.tuning_hz[0, 0] == pytest.approx(np.sqrt(square) / (2 * np.pi))
    assert rear.vent_per_mass[0, 0] == pytest.approx(0.048**2 / 0.33)
    assert rear.vent_damping_per_s[0, 0] == pytest.approx(2.5 / 0.33)
    assert (rear.vent_area_m2[0, 0], rear.vent_excursion_m[0, 0]) == (0.048, 0.015)
    assert rear.vent_speed_m_per_s[0, 0] == 1e9
    assert np.sqrt(square) * (rear.compliance / rear.leak)[0, 0] == pytest.approx(7.0)


def test_cones_in_series_and_parallel_add_up() -> None:
    """Four cones, two in series in each of two rows: Re as one cone's, Bl twice, four times
    the area, mass and heat, a quarter of the compliance."""
    coil = replace(DRIVER, coil_K=0.02, coil_n=0.7)
    one, four = (known_box(coil, CLOSED, **kind) for kind in ({}, {"count": 4, "series": 2}))
    for name, factor in (
        ("Re_ohm", 1), ("Bl_tm", 2), ("Mms_kg", 4), ("Cms_m_per_n", 0.25), ("Rms_kg_per_s", 4),
        ("Sd_m2", 4), ("Xmax_m", 1), ("coil_K", 1), ("coil_n", 1), ("heat_limit_w", 4),
    ):  # fmt: skip
        assert getattr(four, name)[0, 0] == pytest.approx(factor * getattr(one, name)[0, 0]), name
    assert four.Qts[0, 0] == pytest.approx(one.Qts[0, 0])
    assert four.count.tolist() == [4]


def test_plain_defaults() -> None:
    """A plain inductance of nothing, no limits, ports at 17 m/s without losses of their own."""
    plain = KnownDriver(
        Re_ohm=3.6, Bl_tm=14.5, Mms_kg=0.11, Cms_m_per_n=2e-4, Rms_kg_per_s=3.8, Sd_m2=0.033
    )
    box = known_box(plain, VENTED)
    assert (box.coil_K[0, 0], box.coil_n[0, 0]) == (0.0, 1.0)
    assert box.Xmax_m[0, 0] == box.heat_limit_w[0, 0] == 1e9
    assert box.rear.vent_speed_m_per_s[0, 0] == 17.0
    assert box.rear.vent_damping_per_s[0, 0] == box.rear.absorption_s[0, 0] == 0.0
    assert Chamber.none((1, 1)).tuning_hz[0, 0] == 0.0
    assert known_box(plain, RADIATOR).coil_k_per_w[0, 0] == 1.0


def test_many_boxes_come_as_one_table() -> None:
    """A column for each figure that is an array."""
    box = known_box(replace(DRIVER, Re_ohm=[3.0, 4.0]), replace(CLOSED, volume_m3=[0.02, 0.03]))
    assert box.shape == (2, 1)
    assert box.ids == ("0", "1")
    assert box.Re_ohm[:, 0].tolist() == [3.0, 4.0]
    assert box.rear.volume_m3[:, 0].tolist() == [0.02, 0.03]


@pytest.mark.parametrize(("count", "series"), [(0, 1), (2, 0), (3, 2)])
def test_cones_left_over_are_refused(count: int, series: int) -> None:
    """A wiring must use every cone."""
    with pytest.raises(InputError, match="cones left over"):
        known_box(DRIVER, CLOSED, count=count, series=series)


@pytest.mark.parametrize("value", [0.0, -1.0, np.nan, [[0.1]]])
def test_figures_that_are_none_are_named(value: float) -> None:
    """Not above zero, not a number, or two-dimensional."""
    with pytest.raises(InputError, match="Mms_kg"):
        known_box(replace(DRIVER, Mms_kg=value), CLOSED)
