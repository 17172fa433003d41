"""The demo range's own physics against published alignments and worked figures."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.catalogue.demo.hidden import RHO, C, Chambers, Cones
from basswright.catalogue.demo.response import low_limit_hz, reference_level_db, respond


def _cones(*, fs: float, Qts: float, Vas: float, Qms: float = 1e9, Le: float = 0.0) -> Cones:
    Sd, Re, w = 0.033, 3.6, 2 * np.pi * fs
    Cms = Vas / (RHO * C**2 * Sd**2)
    Mms = 1 / (w**2 * Cms)
    Qes = 1 / (1 / Qts - 1 / Qms)
    columns = {
        "size_m": 0.25,
        "nominal_ohm": 4.0,
        "Sd_m2": Sd,
        "Mms_kg": Mms,
        "Cms_m_per_n": Cms,
        "Rms_kg_per_s": w * Mms / Qms,
        "Bl_tm": np.sqrt(w * Mms * Re / Qes),
        "Re_ohm": Re,
        "Le_henry": Le,
        "Xmax_m": 0.01,
        "thermal_power_w": 300.0,
    }
    return Cones(
        count=np.array([1]),
        series=np.array([1]),
        shallow=np.array([False]),
        **{name: np.array([value]) for name, value in columns.items()},
    )


def _chambers(volume: float, **known: float) -> Chambers:
    columns = dict.fromkeys(Chambers.__dataclass_fields__, np.array([np.nan]))
    columns["radiator_count"] = np.array([1])
    columns |= {name: np.array([value]) for name, value in known.items()}
    return Chambers(**{**columns, "volume_m3": np.array([volume])})


@pytest.mark.parametrize(
    ("q", "f3_ratio", "peak_db"),
    [(0.5774, 1.2719, 0.0), (0.7071, 1.0, 0.0), (1.0, 0.7862, 1.249), (1.2, 0.7358, 2.412)],
)
def test_closed_box_follows_small(q: float, f3_ratio: float, peak_db: float) -> None:
    """R. H. Small, "Closed-Box Loudspeaker Systems I", JAES 20(10), 1972."""
    alpha = 2.0
    fc = 50.0
    cones = _cones(fs=fc / np.sqrt(1 + alpha), Qts=q / np.sqrt(1 + alpha), Vas=0.060)
    grid = np.geomspace(20, 2000, 4001)
    level = respond("closed", cones, _chambers(0.060 / alpha), grid).level_db[0]
    relative = level - reference_level_db(cones)[0]
    f3 = grid[np.argmax(relative > -3.0103)]
    assert f3 / fc == pytest.approx(f3_ratio, abs=0.002)
    assert max(relative.max(), 0.0) == pytest.approx(peak_db, abs=0.005)


@pytest.mark.parametrize(
    ("leak_q", "Qt", "h", "alpha", "f3_ratio"),
    [
        (1e9, 0.3827, 1.0, 1.4142, 1.0),
        (7.0, 0.4048, 1.0, 1.0613, 1.0),
        (7.0, 0.30, 1.3145, 2.8452, 1.5732),
        (7.0, 0.4988, 0.8051, 0.4679, 0.7177),
    ],
)
def test_vented_box_follows_the_published_alignments(
    leak_q: float, Qt: float, h: float, alpha: float, f3_ratio: float
) -> None:
    """B4, QB3 and C4: R. H. Small, "Vented-Box Loudspeaker Systems I", JAES 21(5), 1973."""
    fs, Vas = 30.0, 0.060
    volume, area = Vas / alpha, 0.01
    length = area * C**2 / ((2 * np.pi * h * fs) ** 2 * volume)
    chambers = _chambers(
        volume,
        leakage_q=leak_q,
        tuning_hz=h * fs,
        port_area_m2=area,
        port_effective_length_m=length,
    )
    cones = _cones(fs=fs, Qts=Qt, Vas=Vas)
    grid = np.geomspace(10, 1000, 4001)
    relative = respond("vented", cones, chambers, grid).level_db[0] - reference_level_db(cones)[0]
    below = np.flatnonzero(relative < -3.0103).max()
    assert grid[below] / fs == pytest.approx(f3_ratio, rel=0.004)


def test_radiators_without_suspension_act_as_a_port() -> None:
    """Small, JAES 22(8), 1974: with compliant suspension a radiator is a port of its mass."""
    cones, volume, area = _cones(fs=30, Qts=0.4, Vas=0.06), 0.05, 0.05
    mass = 0.25
    port = _chambers(
        volume,
        leakage_q=7.0,
        tuning_hz=35.0,
        port_area_m2=0.01,
        port_effective_length_m=mass / area**2 * 0.01 / RHO,
    )
    radiator = _chambers(
        volume,
        leakage_q=7.0,
        tuning_hz=35.0,
        radiator_Sd_m2=area,
        radiator_Mms_kg=mass,
        radiator_Cms_m_per_n=1e3,
        radiator_Rms_kg_per_s=0.0,
    )
    grid = np.geomspace(15, 120, 50)
    as_port = respond("vented", cones, port, grid)
    as_radiator = respond("passive-radiator", cones, radiator, grid)
    np.testing.assert_allclose(as_radiator.level_db, as_port.level_db, atol=1e-4)
    np.testing.assert_allclose(as_radiator.impedance_ohm, as_port.impedance_ohm, rtol=1e-5)


def test_reference_level_of_a_worked_example() -> None:
    """4 pi^2 fs^3 Vas / (c^3 Qes) = 0.2930 %, 86.83 dB (Small, JAES 20(5), 1972)."""
    cones = _cones(fs=30.0, Qts=1 / (1 / 0.45 + 1 / 5.0), Qms=5.0, Vas=0.050)
    assert reference_level_db(cones)[0] == pytest.approx(86.83, abs=0.01)


def test_a_bandpass_box_falls_on_both_sides_of_its_band() -> None:
    """Second-order slopes, 12 dB an octave, far below and above (Fincham 1979)."""
    cones = _cones(fs=35, Qts=0.45, Vas=0.05)
    front, area, tuning = 0.025, 0.01, 60.0
    chambers = _chambers(
        0.03,
        front_volume_m3=front,
        leakage_q=1e9,
        tuning_hz=tuning,
        port_area_m2=area,
        port_effective_length_m=area * C**2 / ((2 * np.pi * tuning) ** 2 * front),
    )
    grid = np.array([2.0, 4.0, 60.0, 1000.0, 2000.0])
    level = respond("bandpass", cones, chambers, grid).level_db[0]
    assert level[1] - level[0] == pytest.approx(12.04, abs=0.3)
    assert level[4] - level[3] == pytest.approx(-12.04, abs=0.3)
    assert level[2] == level.max()


def test_low_limit_is_where_the_level_crosses_ten_decibels_down() -> None:
    """Second-order Butterworth: -10 dB at (10 - 1)^(-1/4) of the corner."""
    grid = np.geomspace(8, 200, 141)
    level = -10 * np.log10(1 + (50.0 / grid) ** 4)
    found = low_limit_hz(level[np.newaxis], np.array([0.0]), grid)
    assert found[0] == pytest.approx(50 * 9**-0.25, rel=1e-3)


def test_low_limit_is_missing_where_the_level_never_falls() -> None:
    grid = np.geomspace(8, 200, 141)
    assert np.isnan(low_limit_hz(np.log(grid)[np.newaxis], np.array([0.0]), grid))[0]


def test_excursion_of_a_worked_closed_box() -> None:
    """Two volts eighty-three at 20 Hz: 0.845 mm RMS, 72.5 dB (lumped circuit by hand)."""
    cones = _cones(fs=33.932, Qts=0.37703, Qms=6.172, Vas=0.03089)
    response = respond("closed", cones, _chambers(0.020), np.array([20.0]))
    volts = 2.83 / np.sqrt(3.6)
    assert response.excursion_m[0, 0] * volts / np.sqrt(2) == pytest.approx(0.845e-3, rel=0.005)
    assert response.level_db[0, 0] + 20 * np.log10(volts) == pytest.approx(72.51, abs=0.03)
