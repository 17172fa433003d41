"""Waveforms at large excursion against the small-signal network and ngspice's transient."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.sound.known import known_box
from basswright.sound.large_signal import STRAIGHT, Curvature, distortion, play
from basswright.sound.models import BoxModels, joined
from basswright.sound.response import respond
from tests.sound.netlist import elements, run
from tests.sound.worked import BOXES, CLOSED, DRIVER, VENTED

#: Share left of force factor and compliance at the limit, as IEC 62458 has them.
CURVED = Curvature(force_share=0.82, compliance_share=0.75)


def with_inductance(kind: str) -> BoxModels:
    """Return a worked box whose coil has 1.2 mH and whose chambers absorb a little."""
    driver = replace(DRIVER, coil_K=1.2e-3)
    front = replace(VENTED, QA=40.0) if "bandpass" in kind else None
    rear = CLOSED if kind in ("closed", "bandpass") else VENTED
    return known_box(driver, replace(rear, QA=60.0), front=front)


@pytest.mark.parametrize("kind", ["closed", "vented", "bandpass"])
def test_straight_box_is_the_small_signal_network(kind: str) -> None:
    """Without curvature a tone comes out as the network in the frequency domain has it."""
    box = with_inductance(kind)
    grid = np.array([22.0, 35.0, 60.0])
    told = distortion(box, grid, 10.0, curvature=STRAIGHT)
    answer = respond(box, grid)
    wanted = 10 * np.abs(answer.pressure_pa[0, 0])
    np.testing.assert_allclose(told.pressure_pa[:, 0], wanted, rtol=2e-4)
    np.testing.assert_allclose(told.cone_m[:, 0], 10 * np.abs(answer.cone_m[0, 0]), rtol=2e-4)
    assert told.thd_share.max() < 1e-3


def test_without_inductance_the_current_follows_the_voltage() -> None:
    """A coil without inductance draws (u - Bl v) / Re at every instant."""
    volts = 5 * np.sin(2 * np.pi * 30 * np.arange(4000) / 8000)
    motion = play(BOXES["vented"], volts, rate_hz=8000, curvature=STRAIGHT)
    wanted = (volts - 14.5 * motion.cone_m_per_s) / 3.6
    np.testing.assert_allclose(motion.current_a, wanted, atol=1e-12)


def test_distortion_grows_with_excursion_and_offset() -> None:
    """Third harmonic grows with the square of the level; a cone off centre adds the second.

    For a weak even curvature the cubic term of the force gives a third harmonic that
    grows as the third power of the fundamental.
    """
    box = with_inductance("closed")
    quiet = distortion(box, [35.0], 1.0, curvature=CURVED)
    louder = distortion(box, [35.0], 2.0, curvature=CURVED)
    ratio = louder.cone_m[0] / quiet.cone_m[0]
    assert ratio[0] == pytest.approx(2.0, rel=0.02)
    assert ratio[2] == pytest.approx(8.0, rel=0.05)
    off = distortion(box, [35.0], 2.0, curvature=replace(CURVED, offset_m=2e-3))
    assert off.cone_m[0, 1] > 20 * louder.cone_m[0, 1]


def test_agrees_with_ngspice_transient(tmp_path: Path) -> None:
    """Cone and current of a vented box at large excursion are those of ngspice.

    The netlist is the circuit of the small-signal check with behavioural sources for
    Bl(x) and k(x).
    """
    box = with_inductance("vented")
    box = replace(box, rear=replace(box.rear, absorption_s=np.zeros((1, 1))))
    hz, volts, cycles, steps = 28.0, 20.0, 12, 800
    b = (1 / CURVED.force_share - 1) / 0.010**2
    a = (1 / CURVED.compliance_share - 1) / 0.010**2
    force = f"{DRIVER.Bl_tm}/(1+{b:.12g}*v(x)*v(x))"
    swap = {
        "Vin": f"Vina ina 0 SIN(0 {volts * np.sqrt(2):.12g} {hz})",
        "Hemf": f"Bemf e3a 0 V=i(Vva)*{force}",
        "Hf": f"Bf m0a 0 V=i(Via)*{force}",
        "Cma": f"Bk m2a m3a V=v(x)*(1+{a:.12g}*v(x)*v(x))/{DRIVER.Cms_m_per_n}",
    }
    lines = [
        next((new for old, new in swap.items() if line.startswith(old)), line)
        for line in elements(box, 0, "a")
    ]
    step, end = 1 / (hz * steps), cycles / hz
    lines += ["Fx 0 x Vva 1", "Cx x 0 1 IC=0", "Rx x 0 1e12"]
    control = [
        "set wr_singlescale",
        "set numdgt=12",
        f"tran {step:.12g} {end:.12g} 0 {step / 4:.12g} uic",
        "linearize v(x) i(Via)",
        f"wrdata {tmp_path}/out.txt v(x) i(Via)",
        "quit",
    ]
    options = ".options reltol=1e-6 abstol=1e-12 vntol=1e-12"
    run(["* large signal", *lines, options, ".control", *control, ".endc", ".end"], tmp_path)
    table = np.loadtxt(tmp_path / "out.txt")
    time = table[:, 0]
    motion = play(
        box,
        volts * np.sqrt(2) * np.sin(2 * np.pi * hz * np.arange(cycles * steps + 1) * step),
        rate_hz=hz * steps,
        curvature=CURVED,
    )
    tail = time > (cycles - 2) / hz
    cone = np.interp(time, motion.time_s, motion.cone_m)
    current = np.interp(time, motion.time_s, motion.current_a)
    assert np.abs(motion.cone_m).max() > 0.008
    assert np.abs(cone - table[:, 1])[tail].max() < 1e-3 * np.abs(cone).max()
    assert np.abs(current - table[:, 2])[tail].max() < 1e-3 * np.abs(current).max()


def test_bad_input_is_refused() -> None:
    """Too few samples, holes in the waveform and shares above one are named."""
    box = BOXES["closed"]
    with pytest.raises(InputError, match="rate_hz"):
        play(box, np.zeros(10), rate_hz=1000, curvature=STRAIGHT)
    with pytest.raises(InputError, match="voltage_v"):
        play(box, [0.0, np.nan], rate_hz=8000, curvature=STRAIGHT)
    with pytest.raises(InputError, match="force_share"):
        Curvature(force_share=1.2)


def test_one_box_is_played_at_a_time() -> None:
    """Two boxes are refused, and so is a curvature that leaves next to nothing."""
    with pytest.raises(InputError, match="one box at a time"):
        play(joined([BOXES["closed"]] * 2), np.zeros(10), rate_hz=8000, curvature=STRAIGHT)
    with pytest.raises(InputError, match="rate_hz"):
        play(BOXES["closed"], np.zeros(10), rate_hz=3999, curvature=STRAIGHT)
    assert play(BOXES["closed"], np.zeros(10), rate_hz=4000, curvature=STRAIGHT).time_s.size == 10
    assert Curvature(force_share=0.05).offset_m == 0.0
    for share in (0.0496, 1.004):
        with pytest.raises(InputError, match="compliance_share"):
            Curvature(compliance_share=share)


def test_shares_at_the_limit_are_the_standard_s() -> None:
    """IEC 62458 (from memory): 82 % of the force factor and 75 % of the compliance at Xmax.

    Held still at x the coil sees Bl(x) and the cone k(x): by hand from a slow push. At 1 Hz
    a closed box is stiffness alone, so that x (k(x) + k_box) = Bl(x) i.
    """
    assert (Curvature().force_share, Curvature().compliance_share) == (0.82, 0.75)
    box = known_box(DRIVER, CLOSED)
    hz, rate = 1.0, 8000
    time = np.arange(2 * rate) / rate
    motion = play(box, 14.0 * np.sin(2 * np.pi * hz * time), rate_hz=rate, curvature=Curvature())
    at = rate + int(np.argmax(motion.cone_m[rate:]))
    x, i = motion.cone_m[at], motion.current_a[at]
    off = (x / 0.010) ** 2
    force = 14.5 / (1 + (1 / 0.82 - 1) * off) * i
    stiffness = (1 + (1 / 0.75 - 1) * off) / 2e-4 + 1.204 * 343.2**2 * 0.033**2 / 0.020
    assert x > 0.003
    assert force == pytest.approx(stiffness * x, rel=3e-3)


def test_a_semi_inductance_counts_at_its_frequency() -> None:
    """K (j w)^n at 50 Hz as a resistance and an inductance (Leach 2002): a tone there is the
    network's own."""
    box = known_box(replace(DRIVER, coil_K=0.05, coil_n=0.7), CLOSED)
    rate, hz = 30_000, 50.0
    wave = 10 * np.sin(2 * np.pi * hz * np.arange(rate) / rate)
    motion = play(box, wave, rate_hz=rate, curvature=STRAIGHT)
    tail = motion.current_a[-int(rate / hz) * 5 :]
    found = 2 * np.abs(np.mean(tail * np.exp(-2j * np.pi * hz * np.arange(tail.size) / rate)))
    assert found == pytest.approx(10 / np.abs(respond(box, [hz]).impedance_ohm[0, 0, 0]), rel=1e-3)


def test_distortion_is_the_root_of_the_harmonics_squares_over_the_fundamental() -> None:
    """IEC 60268-5, against the fundamental; the port's air moves as the network says."""
    box = with_inductance("vented")
    told = distortion(box, [28.0], 25.0, curvature=CURVED)
    p = told.pressure_pa[0]
    assert told.thd_share[0] == pytest.approx(np.sqrt(np.sum(p[1:] ** 2)) / p[0], rel=1e-12)
    assert told.thd_share[0] > 0.02
    rate, hz = 30_000, 40.0
    wave = 5 * np.sqrt(2) * np.sin(2 * np.pi * hz * np.arange(rate) / rate)
    motion = play(box, wave, rate_hz=rate, curvature=STRAIGHT)
    cycles = motion.vent_m_per_s[-int(rate / hz) * 8 :]
    wanted = 5 * np.abs(respond(box, [hz]).vent_m_per_s[0, 0, 0])
    assert np.sqrt(np.mean(cycles**2)) == pytest.approx(wanted, rel=2e-3)
