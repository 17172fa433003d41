"""Levels and limits of ten thousand boxes: whole tables against general tools.

CPU times, medians of seven interleaved rounds in one run; only ratios within a run mean
anything. Every way computes the level for one volt, excursion, port speed, impedance
and the highest clean level, and they are compared before they are timed.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from basswright.records.levels import LevelTable
from basswright.sound.air import RHO_KG_PER_M3, half_space_transfer
from basswright.sound.bands import band
from basswright.sound.known import KnownChamber, KnownDriver, KnownPort, known_box
from basswright.sound.levels import level_table
from basswright.sound.loudest import loudest_curves
from basswright.sound.models import BOX_ARRAYS, CHAMBER_ARRAYS, BoxModels, Chamber

Array = NDArray[np.float64]
FREQUENCY_HZ: Array = np.linspace(10.0, 200.0, 100)
_ROUNDS = 7
_BOXES, _LOOPED, _CONTROLLED, _SPICED = 10_000, 60, 20, 50
VOLTAGE_V, CURRENT_A = 30.0, 40.0


def vented_boxes(count: int, seed: int = 1) -> BoxModels:
    """Return invented vented boxes with leaks and a plain inductance."""
    rng = np.random.default_rng(seed)

    def between(low: float, high: float) -> Array:
        return rng.uniform(low, high, count)

    driver = KnownDriver(
        Re_ohm=between(1.6, 3.8),
        Bl_tm=between(9, 19),
        Mms_kg=between(0.08, 0.25),
        Cms_m_per_n=between(1e-4, 3e-4),
        Rms_kg_per_s=between(2, 8),
        Sd_m2=between(0.02, 0.08),
        Xmax_m=between(0.008, 0.018),
        coil_K=between(0.5e-3, 3e-3),
        heat_limit_w=between(150, 600),
    )
    port = KnownPort(area_m2=between(0.005, 0.015), effective_length_m=between(0.2, 0.6))
    return known_box(
        driver, KnownChamber(volume_m3=between(0.02, 0.07), QL=between(5, 15), opening=port)
    )


def whole_table(models: BoxModels) -> Array:
    """Return the highest clean level of all boxes, the product's way, shape (n, f)."""
    transfer = half_space_transfer(FREQUENCY_HZ)
    loudest, _ = loudest_curves(
        models, FREQUENCY_HZ, transfer, voltage_v=VOLTAGE_V, current_a=CURRENT_A
    )
    return loudest[:, 0]


def every_table(models: BoxModels) -> LevelTable:
    """Return level, own limit, what decides and impedance of all boxes, kept apart."""
    return level_table(models, FREQUENCY_HZ, half_space_transfer(FREQUENCY_HZ), lowpass_hz=None)


def bands_of_draws(models: BoxModels) -> tuple[Array, Array]:
    """Return the 90 % bands of the highest clean level."""
    loudest, _ = loudest_curves(
        models,
        FREQUENCY_HZ,
        half_space_transfer(FREQUENCY_HZ),
        voltage_v=VOLTAGE_V,
        current_a=CURRENT_A,
    )
    return band(loudest)


Polynomials = tuple[Array, Array, Array, Array, Array]


def polynomials(models: BoxModels, row: int) -> Polynomials:
    """Return numerators of flow, excursion, port flow and admittance, and denominator."""
    m = {
        name: float(getattr(models, name)[row, 0])
        for name in ("Re_ohm", "Bl_tm", "Mms_kg", "Cms_m_per_n", "Rms_kg_per_s", "Sd_m2", "coil_K")
    }
    C, G, b = (
        float(getattr(models.rear, name)[row, 0])
        for name in ("compliance", "leak", "vent_per_mass")
    )
    D = np.array([1.0, 0.0, 0.0])
    N = np.polyadd(np.polymul([C, G], D), [b, 0.0])
    loop = [m["Mms_kg"], m["Rms_kg_per_s"], 1 / m["Cms_m_per_n"]]
    A = np.polyadd(np.polymul(loop, N), m["Sd_m2"] ** 2 * np.polymul([1.0, 0.0], D))
    P = np.polyadd(
        np.polymul([m["coil_K"], m["Re_ohm"]], A), m["Bl_tm"] ** 2 * np.polymul([1.0, 0.0], N)
    )
    drive = m["Bl_tm"] * m["Sd_m2"]
    flow = drive * np.polymul([C, 0.0, 0.0], D)
    port = drive * np.array([b, 0.0, 0.0])
    return flow, m["Bl_tm"] * N, port, A, P


def limited(models: BoxModels, row: int, answers: list[NDArray[np.complex128]]) -> Array:
    """Return the highest clean level of one box from its four transfer functions."""
    from basswright.sound.copper import HOT_OVER_COLD

    flow, cone, port, admittance = (np.abs(answer) for answer in answers)
    pressure = RHO_KG_PER_M3 * FREQUENCY_HZ * flow
    heat = np.sqrt(models.heat_limit_w[row, 0] / (models.Re_ohm[row, 0] * HOT_OVER_COLD))
    volts = np.minimum.reduce(
        [
            np.full(FREQUENCY_HZ.size, VOLTAGE_V),
            CURRENT_A / admittance,
            heat / admittance,
            models.Xmax_m[row, 0] / (np.sqrt(2) * cone),
            models.rear.vent_speed_m_per_s[row, 0]
            * models.rear.vent_area_m2[row, 0]
            / (np.sqrt(2) * port),
        ]
    )
    return 20 * np.log10(pressure * volts / 20e-6)


def freqs_loop(models: BoxModels, count: int) -> Array:
    """Return the same by `scipy.signal.freqs`, one box after the other."""
    from scipy.signal import freqs

    w, rows = 2 * np.pi * FREQUENCY_HZ, []
    for row in range(count):
        *numerators, denominator = polynomials(models, row)
        answers = [freqs(numerator, denominator, worN=w)[1] for numerator in numerators]
        rows.append(limited(models, row, answers))
    return np.array(rows)


def control_loop(models: BoxModels, count: int) -> Array:
    """Return the same by python-control's `frequency_response`."""
    import control

    w, rows = 2 * np.pi * FREQUENCY_HZ, []
    for row in range(count):
        *numerators, denominator = polynomials(models, row)
        answers = [
            control.frequency_response(control.tf(numerator, denominator), w).frdata[0, 0]
            for numerator in numerators
        ]
        rows.append(limited(models, row, answers))
    return np.array(rows)


def ngspice_batch(models: BoxModels, count: int) -> Array:
    """Return the same by ngspice, all boxes in one netlist."""
    with tempfile.TemporaryDirectory() as folder:
        lines = [line for row in range(count) for line in _netlist(models, row)]
        wanted = [
            f"{part}(i({meter}{row}))"
            for row in range(count)
            for meter in ("vt", "vv", "vp", "vi")
            for part in ("real", "imag")
        ]
        control = [
            "set numdgt=14",
            "set wr_singlescale",
            f"ac lin {FREQUENCY_HZ.size} {FREQUENCY_HZ[0]:.12g} {FREQUENCY_HZ[-1]:.12g}",
            f"wrdata {folder}/out.txt {' '.join(wanted)}",
            "quit",
        ]
        source = Path(folder) / "boxes.cir"
        text = ["* boxes", *lines, ".control", *control, ".endc", ".end", ""]
        source.write_text("\n".join(text))
        subprocess.run(["ngspice", "-b", str(source)], check=True, capture_output=True)
        table = np.loadtxt(Path(folder) / "out.txt")[:, 1:]
    parts = (table[:, 0::2] + 1j * table[:, 1::2]).T.reshape(count, 4, -1)
    s = 2j * np.pi * FREQUENCY_HZ
    return np.array(
        [limited(models, row, [t, v / s, p, i]) for row, (t, v, p, i) in enumerate(parts)]
    )


def _netlist(models: BoxModels, row: int) -> list[str]:
    m = {
        name: float(getattr(models, name)[row, 0])
        for name in ("Re_ohm", "Bl_tm", "Mms_kg", "Cms_m_per_n", "Rms_kg_per_s", "Sd_m2", "coil_K")
    }
    C, G, b = (
        float(getattr(models.rear, name)[row, 0])
        for name in ("compliance", "leak", "vent_per_mass")
    )
    return [
        f"Vin{row} a{row} 0 DC 0 AC 1",
        f"Re{row} a{row} b{row} {m['Re_ohm']:.14g}",
        f"Le{row} b{row} c{row} {m['coil_K']:.14g}",
        f"Vi{row} c{row} d{row} DC 0",
        f"He{row} d{row} 0 Vv{row} {m['Bl_tm']:.14g}",
        f"Hf{row} e{row} 0 Vi{row} {m['Bl_tm']:.14g}",
        f"Vv{row} e{row} f{row} DC 0",
        f"Lm{row} f{row} g{row} {m['Mms_kg']:.14g}",
        f"Cm{row} g{row} h{row} {m['Cms_m_per_n']:.14g}",
        f"Rm{row} h{row} k{row} {m['Rms_kg_per_s']:.14g}",
        f"Eb{row} k{row} 0 r{row} 0 {m['Sd_m2']:.14g}",
        f"Fb{row} 0 r{row} Vv{row} {m['Sd_m2']:.14g}",
        f"Vt{row} r{row} q{row} DC 0",
        f"Ca{row} q{row} 0 {C:.14g}",
        f"Rl{row} r{row} 0 {1 / G:.14g}",
        f"Vp{row} r{row} p{row} DC 0",
        f"Lp{row} p{row} 0 {1 / b:.14g}",
    ]


def _cpu() -> float:
    """CPU time of this process and of the children that it has waited for."""
    return process_time() + sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])


def _medians(ways: dict[str, Callable[[], object]]) -> dict[str, float]:
    times: dict[str, list[float]] = {name: [] for name in ways}
    for way in ways.values():
        way()
    for _ in range(_ROUNDS):
        for name, way in ways.items():
            start = _cpu()
            way()
            times[name].append(_cpu() - start)
    return {name: float(np.median(values)) for name, values in times.items()}


def draws_of(models: BoxModels, boxes: int, draws: int) -> BoxModels:
    """Return the first boxes * draws rows as that many boxes in draws."""

    def folded(part: object, names: tuple[str, ...]) -> dict[str, Any]:
        count = boxes * draws
        return {name: getattr(part, name)[:count].reshape(boxes, draws) for name in names}

    return replace(
        models,
        ids=models.ids[:boxes],
        count=models.count[:boxes],
        rear=Chamber(**folded(models.rear, CHAMBER_ARRAYS)),
        front=Chamber(**folded(models.front, CHAMBER_ARRAYS)),
        **folded(models, BOX_ARRAYS),
    )


def _agreement(models: BoxModels, *, spice: bool) -> str:
    reference = whole_table(models)
    scipy = np.abs(freqs_loop(models, _LOOPED) - reference[:_LOOPED]).max()
    text = f"largest difference in the highest clean level: scipy.signal.freqs {scipy:.0e} dB"
    if not spice:
        return text
    other = np.abs(ngspice_batch(models, _SPICED) - reference[:_SPICED]).max()
    return f"{text}, ngspice {other:.0e} dB"


def main() -> None:
    """Print agreement, CPU times, ratios and the share of the machine's limit."""
    from benchmarks.sound_machine import kernel_share

    models = vented_boxes(_BOXES)
    shortlist = draws_of(models, 50, 200)
    spice = shutil.which("ngspice") is not None
    print(_agreement(models, spice=spice))
    ways: dict[str, Callable[[], object]] = {
        "highest clean level": lambda: whole_table(models),
        "scipy.signal.freqs": lambda: freqs_loop(models, _LOOPED),
        "python-control": lambda: control_loop(models, _CONTROLLED),
        "level_table": lambda: every_table(models),
        "bands": lambda: bands_of_draws(shortlist),
    }
    counts = {"scipy.signal.freqs": _LOOPED, "python-control": _CONTROLLED}
    if spice:
        ways["ngspice in batch"] = lambda: ngspice_batch(models, _SPICED)
        counts["ngspice in batch"] = _SPICED
    medians = _medians(ways)
    own = medians["highest clean level"] / _BOXES
    size = f"{_BOXES:,} boxes x {FREQUENCY_HZ.size} frequencies"
    print(f"{size}, CPU ms")
    print(f"  highest clean level and what decides    {medians['highest clean level'] * 1e3:8.1f}")
    print(f"  level, own limit, impedance kept apart  {medians['level_table'] * 1e3:8.1f}")
    print(f"  200 draws of 50 boxes with their bands  {medians['bands'] * 1e3:8.1f}")
    print("CPU microseconds a box, and how many times the product's")
    print(f"  highest clean level  {own * 1e6:9.2f}")
    for name, count in counts.items():
        each = medians[name] / count
        print(f"  {name:20s} {each * 1e6:9.2f} {each / own:8.0f}")
    print(kernel_share(models, FREQUENCY_HZ))


if __name__ == "__main__":
    main()
