"""Small-signal answers against published relations and independent solvers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from basswright.errors import InputError
from basswright.sound.air import BULK_PA, RHO_KG_PER_M3
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.response import respond, step_response
from tests.sound.worked import BOXES, DRIVER, VENTED

#: An independent nodal analysis of the three boxes (SPICE, 2.83 V RMS, half space,
#: 1 m): Hz -> level in dB, cone displacement in mm RMS, impedance in ohm, port or
#: radiator flow in m3/s.
NODAL = {
    "closed": {
        10: (60.86, 0.884, 3.78, 0), 20: (72.51, 0.845, 4.41, 0), 30: (78.82, 0.777, 5.97, 0),
        40: (82.71, 0.684, 10.25, 0), 50: (85.16, 0.581, 31.91, 0), 80: (88.38, 0.328, 8.23, 0),
        100: (89.14, 0.229, 5.81, 0), 200: (90.05, 0.064, 4.00, 0),
    },
    "vented": {
        10: (46.08, 1.979, 4.91, 4.43e-3), 20: (69.54, 1.399, 18.48, 8.25e-3),
        30: (83.91, 0.704, 7.47, 1.280e-2), 40: (90.67, 0.368, 5.85, 1.175e-2),
        50: (90.67, 0.526, 18.44, 6.02e-3), 80: (90.01, 0.315, 7.41, 1.36e-3),
        100: (90.01, 0.220, 5.54, 7.0e-4), 200: (90.19, 0.063, 3.99, 9e-5),
    },
    "passive-radiator": {
        10: (46.91, 1.733, 4.53, 3.21e-3), 20: (63.08, 1.368, 14.33, 6.79e-3),
        30: (81.37, 0.612, 6.49, 9.94e-3), 40: (87.76, 0.353, 5.47, 7.68e-3),
        50: (89.07, 0.504, 12.38, 4.32e-3), 80: (89.82, 0.323, 8.30, 1.09e-3),
        100: (89.99, 0.226, 5.78, 5.6e-4), 200: (90.22, 0.063, 4.00, 7e-5),
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", list(NODAL))
def test_agrees_with_independent_nodal_analysis(kind: str) -> None:
    """Level, excursion, impedance and flow equal those of a SPICE run, to its rounding."""
    table = NODAL[kind]
    answer = respond(BOXES[kind], list(table))
    level = 20 * np.log10(2.83 * np.abs(answer.pressure_pa[0, 0]) / 20e-6)
    wanted = np.array(list(table.values()))
    np.testing.assert_allclose(level, wanted[:, 0], atol=0.006)
    np.testing.assert_allclose(2830 * np.abs(answer.cone_m[0, 0]), wanted[:, 1], atol=6e-4)
    np.testing.assert_allclose(np.abs(answer.impedance_ohm[0, 0]), wanted[:, 2], atol=0.006)
    area = BOXES[kind].rear.vent_area_m2[0, 0]
    flow = 2.83 * np.abs(answer.vent_m_per_s[0, 0]) * area
    np.testing.assert_allclose(flow, wanted[:, 3], atol=6e-6)


#: Small, "Closed-Box Loudspeaker Systems", JAES 20(10), 1972: Q -> f3/fc, peak in dB.
CLOSED_ALIGNMENTS = {
    0.5: (1.5538, 0.0), 0.5774: (1.2719, 0.0), 0.7071: (1.0, 0.0), 0.8: (0.8972, 0.213),
    1.0: (0.7862, 1.249), 1.2: (0.7358, 2.412), 1.5: (0.6993, 4.033), 2.0: (0.6736, 6.301),
}  # fmt: skip


@pytest.mark.parametrize("Q", list(CLOSED_ALIGNMENTS))
def test_closed_box_alignment(Q: float) -> None:
    """A closed box of a given total Q has the published corner and peak."""
    fc, alpha = 50.0, 2.0
    fs, Qts = fc / np.sqrt(1 + alpha), Q / np.sqrt(1 + alpha)
    Mms, Sd = 0.1, 0.033
    Cms = 1 / ((2 * np.pi * fs) ** 2 * Mms)
    driver = KnownDriver(
        Re_ohm=4.0,
        Bl_tm=np.sqrt(2 * np.pi * fs * Mms * 4.0 / Qts * (1 - 1e-9)),
        Mms_kg=Mms,
        Cms_m_per_n=Cms,
        Rms_kg_per_s=2 * np.pi * fs * Mms / Qts * 1e-9,
        Sd_m2=Sd,
    )
    box = known_box(driver, KnownChamber(volume_m3=BULK_PA * Sd**2 * Cms / alpha))
    f = np.geomspace(5, 5000, 200_001)
    level = 20 * np.log10(np.abs(respond(box, f).pressure_pa[0, 0]))
    level -= level[-1]
    corner, peak = CLOSED_ALIGNMENTS[Q]
    first = np.argmax(level >= 10 * np.log10(0.5))
    assert f[first] / fc == pytest.approx(corner, rel=2e-4)
    assert level.max() == pytest.approx(peak, abs=2e-3)


@pytest.mark.parametrize("kind", list(BOXES))
def test_group_delay_is_minus_phase_slope(kind: str) -> None:
    """Group delay equals the numerical slope of the unwrapped phase."""
    f = np.linspace(15, 120, 20_001)
    answer = respond(BOXES[kind], f)
    phase = np.unwrap(np.angle(answer.pressure_pa[0, 0]))
    slope = -np.gradient(phase, 2 * np.pi * f)
    np.testing.assert_allclose(answer.group_delay_s[0, 0, 1:-1], slope[1:-1], rtol=5e-5, atol=2e-7)


def test_closed_step_response_agrees_with_state_space() -> None:
    """The step response equals that of the closed box's second-order transfer function."""
    Re, Bl, M, C, R, S = 3.6, 14.5, 0.110, 2e-4, 3.8, 0.0330
    stiffness = (1 / C + S**2 * BULK_PA / 0.020) / M
    gain = RHO_KG_PER_M3 * S * Bl / (2 * np.pi * Re * M)
    time = np.linspace(0, 0.1, 101)
    _, wanted = signal.step(
        ([gain, 0, 0], [1, (R + Bl**2 / Re) / M, stiffness]), T=time
    )  # scipy.signal
    found = step_response(BOXES["closed"], time[1:])[0, 0]
    np.testing.assert_allclose(found, wanted[1:], atol=1e-5 * gain)


@pytest.mark.parametrize("kind", list(BOXES))
def test_step_response_starts_with_the_mass(kind: str) -> None:
    """Right after the step only the mass counts; bandpass boxes start from nothing."""
    first = step_response(BOXES[kind], [1e-6])[0, 0, 0]
    d = DRIVER
    gain = RHO_KG_PER_M3 * d.Sd_m2 * d.Bl_tm / (2 * np.pi * d.Re_ohm * d.Mms_kg)
    wanted = 0.0 if "bandpass" in kind else gain
    assert first == pytest.approx(wanted, abs=2e-3 * gain)


@pytest.mark.parametrize("grid", [[], [0.0, 10.0], [np.nan], [20.0, 10.0], [1e5], [[10.0]]])
def test_bad_grids_are_refused(grid: list[float]) -> None:
    """An empty, falling, absurd or undefined frequency grid is named, not computed."""
    with pytest.raises(InputError, match="frequency_hz"):
        respond(BOXES["closed"], grid)


@pytest.mark.parametrize("time", [[0.0, 0.1], [0.1, 0.51], [[0.1]], [np.nan]])
def test_times_outside_the_step_are_refused(time: list[float]) -> None:
    """Before the step, later than half a second, or no list."""
    with pytest.raises(InputError, match="time_s"):
        step_response(BOXES["closed"], time)


def test_displacements_are_speeds_over_jw() -> None:
    """Cone, port and front port of a sixth-order box; flow of the whole is their sum (with
    the leaks), and the pressure that of a half space."""
    box = BOXES["sixth-order bandpass"]
    f = np.array([15.0, 40.0, 90.0])
    answer = respond(box, f)
    s = 2j * np.pi * f
    for name in ("cone_m", "vent_m", "front_vent_m"):
        speed = getattr(answer, f"{name}_per_s")
        assert getattr(answer, name) == pytest.approx(speed / s, rel=1e-12)
    tight = known_box(
        DRIVER,
        replace(VENTED, QL=np.inf),
        front=KnownChamber(volume_m3=0.02, opening=KnownPort(area_m2=0.01, effective_length_m=0.2)),
    )
    answer = respond(tight, f)
    flow = 0.008 * answer.vent_m_per_s + 0.01 * answer.front_vent_m_per_s
    assert answer.flow_m3_per_s == pytest.approx(flow, rel=1e-12)
    assert answer.pressure_pa == pytest.approx(1j * 1.204 * f * flow, rel=1e-12)
