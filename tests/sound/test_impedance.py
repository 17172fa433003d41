"""A measured sweep replaces the estimate; nothing that it cannot tell is made up."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import Driver, Enclosure
from basswright.sound.air import half_space_transfer
from basswright.sound.impedance_fit import fit_impedance
from basswright.sound.impedance_sweep import impedance_from_channels, read_impedance_csv
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.levels import level_table
from basswright.sound.models import BoxModels
from basswright.sound.priors import AT
from basswright.sound.response import respond
from basswright.sound.sheet_models import box_models
from tests.sound.netlist import solve_ac
from tests.sound.test_sheet_models import sheet

SWEEP = np.linspace(10, 200, 96)


def true_box() -> BoxModels:
    """Return a vented box near, but not at, what its sheet would suggest."""
    w = 2 * np.pi * 27.0
    driver = KnownDriver(
        Re_ohm=3.62, Bl_tm=np.sqrt(w * 0.21 * 3.62 / 0.47), Mms_kg=0.21,
        Cms_m_per_n=1 / (w**2 * 0.21), Rms_kg_per_s=w * 0.21 / 4.2, Sd_m2=0.0512,
        coil_K=1.9e-3,
    )  # fmt: skip
    port = KnownPort(area_m2=0.01, effective_length_m=0.01 * (343.2 / (2 * np.pi * 34)) ** 2 / 0.05)
    return known_box(driver, KnownChamber(volume_m3=0.05, QL=6.5, opening=port))


def box_sheet() -> Enclosure:
    """Return what the sheet of that box says: little, and rounded."""
    return sheet(driver=Driver(size_m=0.30), sensitivity_db=87.0, net_volume_m3=0.05)


def test_fit_of_an_independent_sweep(tmp_path: Path) -> None:
    """From ngspice's impedance, resistance, tuning and Qs come back; bands shrink."""
    spice = solve_ac(true_box(), SWEEP, tmp_path)[0]
    fit = fit_impedance(box_sheet(), SWEEP, 1 / spice.current_a, draws=33)
    found = {figure.name: figure for figure in fit.figures}
    for name, value, within in (("Re", 3.62, 0.01), ("tuning", 34.0, 0.01), ("QL", 6.5, 0.05)):
        assert found[name].value == pytest.approx(value, rel=within)
        assert found[name].source == "measured"
    assert found["cone area"].source == "estimated"
    assert fit.residual_share < 0.005
    assert fit.models.sources["Re_ohm"] == ("measured",)
    answer = np.abs(respond(fit.models, SWEEP).impedance_ohm[0, 0])
    np.testing.assert_allclose(answer, np.abs(1 / spice.current_a), rtol=0.02)


def test_covariance_is_honest() -> None:
    """With 2 % noise the true figures lie within three deviations of the fit's own."""
    truth = respond(true_box(), SWEEP).impedance_ohm[0, 0]
    rng = np.random.default_rng(5)
    wanted = {"Re": 3.62, "tuning": 34.0, "fs": 27.0, "Qes": 0.47, "QL": 6.5}
    scores = []
    for _ in range(6):
        noisy = truth * np.exp(0.02 * (rng.standard_normal(96) + 1j * rng.standard_normal(96)))
        fit = fit_impedance(box_sheet(), SWEEP, noisy, draws=1)
        spread = np.sqrt(np.diag(fit.covariance))
        at = [AT[name] for name in wanted]
        scores.append((fit.log_middle[at] - np.log(list(wanted.values()))) / spread[at])
        assert fit.residual_share == pytest.approx(0.02, rel=0.2)
    assert np.abs(scores).max() < 4
    assert np.sqrt(np.mean(np.square(scores))) < 2


def test_a_sweep_narrows_the_level() -> None:
    """After a sweep of magnitudes the level at 30 Hz is known better, and still right."""
    truth = true_box()
    sweep = np.abs(respond(truth, SWEEP).impedance_ohm[0, 0])
    grid = np.array([30.0])
    level = {
        name: level_table(models, grid, half_space_transfer(grid), lowpass_hz=None).per_volt_db
        for name, models in {
            "sheet": box_models([box_sheet()], draws=65),
            "sweep": fit_impedance(box_sheet(), SWEEP, sweep, draws=65).models,
            "truth": truth,
        }.items()
    }
    assert level["sweep"][0, 1:].std() < 0.75 * level["sheet"][0, 1:].std()
    miss = level["sweep"][0, 0, 0] - level["truth"][0, 0, 0]
    assert abs(miss) < 3 * level["sweep"][0, 1:].std()


def test_two_channels_give_the_impedance() -> None:
    """Voltage and the drop over a resistor, both recorded, give the impedance between them."""
    rate, rng = 4000.0, np.random.default_rng(3)
    current = rng.standard_normal(200_000)
    Re, L = 3.6, 0.002
    volts = np.empty_like(current)
    spectrum = np.fft.rfft(current)
    f = np.fft.rfftfreq(current.size, 1 / rate)
    volts = np.fft.irfft(spectrum * (Re + 2j * np.pi * f * L), current.size)
    grid = np.array([20.0, 50.0, 120.0])
    found = impedance_from_channels(
        volts, 0.1 * current, sense_ohm=0.1, rate_hz=rate, frequency_hz=grid
    )
    np.testing.assert_allclose(found, Re + 2j * np.pi * grid * L, rtol=0.01)
    with pytest.raises(InputError, match="belong together"):
        impedance_from_channels(
            rng.standard_normal(200_000), current, sense_ohm=0.1, rate_hz=rate, frequency_hz=grid
        )


def test_csv_with_and_without_phase() -> None:
    """Headings, semicolons and decimal commas are read; bad rows are named."""
    f, Z = read_impedance_csv("Hz,ohm,deg\n20,5.0,30\n10,4.0,0\n")
    np.testing.assert_allclose(f, [10, 20])
    np.testing.assert_allclose(Z, [4.0, 5 * np.exp(1j * np.pi / 6)])
    f, Z = read_impedance_csv("10;4,5\n20;5,5")
    np.testing.assert_allclose(Z, [4.5, 5.5])
    with pytest.raises(InputErrors, match="row 3"):
        read_impedance_csv("Hz,ohm\n10,4\n20,much\n")
    with pytest.raises(InputErrors, match="frequency, magnitude"):
        read_impedance_csv("10\n20\n")
    with pytest.raises(InputError, match="above 0 ohm"):
        read_impedance_csv("10,4\n20,-5\n")


def test_bad_sweeps_are_refused() -> None:
    """Too few points, holes and shapes that do not fit are named."""
    for impedance in (np.ones(3), np.full(96, np.nan), np.zeros(96)):
        with pytest.raises(InputError, match="impedance_ohm"):
            fit_impedance(box_sheet(), SWEEP, impedance, draws=1)
