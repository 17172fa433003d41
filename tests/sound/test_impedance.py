"""A measured sweep replaces the estimate; nothing that it cannot tell is made up."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import Driver, Enclosure
from basswright.sound.air import half_space_transfer
from basswright.sound.conditioning import conditioned
from basswright.sound.figures import linear_figures
from basswright.sound.impedance_fit import ImpedanceFit, fit_impedance
from basswright.sound.impedance_sweep import impedance_from_channels, read_impedance_csv
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.levels import level_table
from basswright.sound.lumped import lumped
from basswright.sound.models import BoxModels
from basswright.sound.network import solve
from basswright.sound.priors import AT, prior
from basswright.sound.response import respond
from basswright.sound.sheet import read_sheets
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


def _independent_posterior(
    fit: ImpedanceFit, sweep: np.ndarray, noise: float
) -> tuple[np.ndarray, float]:
    """Return covariance and RMS misfit at the fit's own middle, by finite differences."""
    sheets = read_sheets([box_sheet()])
    mean, spread = prior(sheets)
    _, before = conditioned(mean, spread, linear_figures(sheets, mean))
    s = 2j * np.pi * SWEEP

    def log_impedance(state: np.ndarray) -> np.ndarray:
        told = np.log(solve(lumped(state[None, None], sheets, ids=["x"]), s).impedance_ohm[0, 0])
        return np.concatenate((told.real, told.imag)) if np.iscomplexobj(sweep) else told.real

    size = fit.log_middle.size
    slope = np.array(
        [
            (log_impedance(fit.log_middle + step) - log_impedance(fit.log_middle - step)) / 2e-5
            for step in 1e-5 * np.eye(size)
        ]
    )
    information = np.linalg.inv(before[0] + 1e-12 * np.eye(size)) + slope @ slope.T / noise**2
    told = np.log(np.abs(sweep))
    wanted = np.concatenate((told, np.angle(sweep))) if np.iscomplexobj(sweep) else told
    miss = log_impedance(fit.log_middle) - wanted
    return np.linalg.inv(information), float(np.sqrt(np.mean(miss**2)))


@pytest.mark.parametrize("kind", ["complex", "magnitude", "clean"])
def test_covariance_is_that_of_an_independent_computation(kind: str) -> None:
    """(P^-1 + J^T J / noise^2)^-1 with slopes by finite differences; the noise is that of the
    sweep, and no less than 0.2 %."""
    sweep = respond(true_box(), SWEEP).impedance_ohm[0, 0]
    rng = np.random.default_rng(8)
    if kind != "clean":
        sweep = sweep * np.exp(0.03 * (rng.standard_normal(96) + 1j * rng.standard_normal(96)))
    if kind == "magnitude":
        sweep = np.abs(sweep)
    fit = fit_impedance(box_sheet(), SWEEP, sweep, draws=1)
    wanted, rms = _independent_posterior(fit, sweep, max(fit.residual_share, 0.002))
    assert fit.residual_share == pytest.approx(rms, rel=1e-6)
    known = np.sqrt(np.diag(wanted)) > 1e-7
    assert np.diag(fit.covariance)[known] == pytest.approx(np.diag(wanted)[known], rel=5e-3)


def test_bands_of_the_figures_are_ninety_per_cent_of_a_log_normal() -> None:
    """The middle times and over exp(1.645 sigma) (5 % beyond each end of a normal)."""
    sweep = respond(true_box(), SWEEP).impedance_ohm[0, 0]
    fit = fit_impedance(box_sheet(), SWEEP, sweep, draws=4)
    spread = np.sqrt(np.diag(fit.covariance))
    for figure, middle, sigma in zip(fit.figures, fit.log_middle, spread, strict=True):
        assert figure.value == pytest.approx(np.exp(middle))
        assert figure.high / figure.value == pytest.approx(np.exp(1.645 * sigma))
        assert figure.value / figure.low == pytest.approx(np.exp(1.645 * sigma))
    assert fit.models.shape == (1, 4)


def test_recordings_that_cannot_be_used_are_named() -> None:
    """Channels of unequal length, no resistor, frequencies beyond half of the rate."""
    noise = np.random.default_rng(1).standard_normal(8000)
    usual = {"sense_ohm": 0.1, "rate_hz": 4000.0, "frequency_hz": np.array([50.0])}
    with pytest.raises(InputError, match="different length"):
        impedance_from_channels(noise, noise[:-1], **usual)
    with pytest.raises(InputError, match="not a resistor"):
        impedance_from_channels(noise, noise, **(usual | {"sense_ohm": 0.0}))
    for beyond in ([1.9], [50.0, 1801.0]):
        with pytest.raises(InputError, match="beyond what the recording holds"):
            impedance_from_channels(
                noise[:4000], noise[:4000], **(usual | {"frequency_hz": beyond})
            )
    within = impedance_from_channels(noise, 0.5 * noise, **(usual | {"frequency_hz": [1799.0]}))
    assert within == pytest.approx([0.2])


def test_eight_frequencies_are_the_fewest() -> None:
    """Seven are refused."""
    few = np.geomspace(15, 150, 8)
    sweep = respond(true_box(), few).impedance_ohm[0, 0]
    assert fit_impedance(box_sheet(), few, sweep, draws=1).residual_share < 0.01
    with pytest.raises(InputError, match="8 or more"):
        fit_impedance(box_sheet(), few[:7], sweep[:7], draws=1)
