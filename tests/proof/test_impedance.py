"""Impedance sweeps fitted to box models.

Driver X (Re 3.6, Bl 14.5, Mms 0.110, Cms 2.0e-4, Rms 3.8, Sd 0.0330) in three boxes; its
impedances were computed with a circuit simulator (ngspice) from the networks of Small,
"Closed-Box Loudspeaker Systems" (1972), "Vented-Box" (1973), "Passive-Radiator" (1974).
"""

import numpy as np
import pytest

from basswright.errors import InputError, InputErrors
from basswright.proof.impedance import fit_impedance, model_impedance
from basswright.proof.impedance_data import impedance_of_recording, read_impedance_table
from basswright.records.measurement import Recording, Sweep
from tests.proof.rooms import played, through

RES = 14.5**2 / 3.8
CLOSED = (3.6, RES, 54.125, 6.172 * 54.125 / 33.932, 1e-6, 0.9)
VENTED = (3.6, RES, 33.932, 6.172, 0.858, 36.415, 7.0, 1e-6, 0.9)
RADIATOR = (3.6, RES, 33.932, 6.172, 30.89 / 24, 35.557, 7.0, 14.809, 12.28, 1e-6, 0.9)
TONES = np.array([10, 20, 25, 30, 35, 40, 50, 80, 100, 200.0])
FREQUENCY = np.geomspace(10, 200, 120)


@pytest.mark.parametrize(
    ("kind", "values", "ohms"),
    [
        ("closed", CLOSED, [3.78, 4.41, 5.02, 5.97, 7.52, 10.25, 31.91, 8.23, 5.81, 4.00]),
        ("vented", VENTED, [4.91, 18.48, 19.92, 7.47, 5.22, 5.85, 18.44, 7.41, 5.54, 3.99]),
        (
            "passive-radiator",
            RADIATOR,
            [4.53, 14.33, 17.49, 6.49, 4.93, 5.47, 12.38, 8.30, 5.78, 4.00],
        ),
    ],
)
def test_model_gives_the_impedances_of_the_worked_systems(kind, values, ohms):
    found = np.abs(model_impedance(kind, TONES, values))
    assert found == pytest.approx(ohms, rel=0.004, abs=0.01)


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("closed", (3.4, 60.0, 48.0, 7.0, 0.012, 0.75)),
        ("vented", (3.4, 55.0, 31.0, 5.5, 1.1, 36.0, 7.0, 0.012, 0.75)),
        ("passive-radiator", (3.4, 55.0, 31.0, 5.5, 1.2, 35.0, 8.0, 15.0, 9.0, 0.012, 0.75)),
    ],
)
def test_fit_finds_the_kind_and_the_values_within_their_errors(kind, values):
    random = np.random.default_rng(4)
    noise = 0.01 * (random.standard_normal(120) + 1j * random.standard_normal(120))
    found = fit_impedance(FREQUENCY, model_impedance(kind, FREQUENCY, values) * (1 + noise))
    assert found.kind == kind
    off = np.abs(found.values - values) / found.standard_errors
    assert (off < 4).all()
    assert found.value("Re_ohm") == pytest.approx(3.4, rel=0.03)
    assert found.residual_share == pytest.approx(0.0141, rel=0.2)
    assert found.problems == ()


def test_standard_errors_are_the_scatter_of_repeated_fits():
    random = np.random.default_rng(1)
    values = (3.4, 60.0, 48.0, 7.0, 0.012, 0.75)
    clean = model_impedance("closed", FREQUENCY, values)
    fits = []
    for _ in range(30):
        noise = 0.02 * (random.standard_normal(120) + 1j * random.standard_normal(120))
        fits.append(fit_impedance(FREQUENCY, clean * (1 + noise), kind="closed"))
    scatter = np.std([one.values[2] for one in fits], ddof=1)
    stated = np.mean([one.standard_errors[2] for one in fits])
    assert stated == pytest.approx(scatter, rel=0.35)


def test_a_sweep_that_is_no_such_box_is_said():
    strange = model_impedance("vented", FREQUENCY, VENTED)
    found = fit_impedance(FREQUENCY, strange, kind="closed")
    assert [one.kind for one in found.problems] == ["fit"]


def test_two_channels_and_a_sense_resistor_give_the_impedance():
    sweep = Sweep()
    source = played(sweep, rate=48000)
    sense = 1.0
    share = through(source, 48000, lambda f: sense / (sense + model_impedance("closed", f, CLOSED)))
    recording = Recording(
        samples=np.stack([source, share], axis=1).astype(np.float32),
        sample_rate_hz=48000.0,
        bits=24,
        name="coil.wav",
    )
    frequency, impedance = impedance_of_recording(recording, sweep, sense_ohm=sense)
    wanted = model_impedance("closed", frequency, CLOSED)
    inside = (frequency > 15) & (frequency < 250)
    assert np.abs(impedance / wanted - 1)[inside].max() < 0.01
    found = fit_impedance(frequency[inside], impedance[inside])
    assert found.kind == "closed"
    assert found.value("fc_hz") == pytest.approx(54.125, rel=0.002)
    with pytest.raises(InputError, match="swapped"):
        impedance_of_recording(recording, sweep, sense_ohm=sense, whole_channel=1, sense_channel=0)


def test_tables_are_read_and_bad_rows_named(tmp_path):
    path = tmp_path / "z.csv"
    path.write_text("Hz;ohm;deg\n20;4,5;30\n40;10;-10\n")
    frequency, impedance = read_impedance_table(path)
    assert frequency.tolist() == [20, 40]
    assert impedance[0] == pytest.approx(4.5 * np.exp(1j * np.pi / 6))
    path.write_text("20, 4.5, 30\n40, many, 3\n-1, 4, 5\n")
    with pytest.raises(InputErrors, match="row 2") as caught:
        read_impedance_table(path)
    assert "row 3" in str(caught.value)


def test_impedances_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="so little impedance"):
        fit_impedance(FREQUENCY, np.full(120, 0.01))
    with pytest.raises(InputError, match="at least 20"):
        fit_impedance(FREQUENCY[:5], np.full(5, 4.0))
    with pytest.raises(InputError, match="not numbers"):
        fit_impedance(FREQUENCY, np.full(120, np.nan))
