"""The circuit of a box as a SPICE netlist, and ngspice to solve it.

Written from the analogous circuits of Small (1972-1974) in the impedance analogy, one
volt of a node a newton or a pascal, one ampere of a source a metre or a cubic metre per
second; it shares nothing with the program's own algebra.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.sound.air import BULK_PA
from basswright.sound.models import BoxModels, Chamber


@dataclass(frozen=True)
class Solved:
    """Complex answers for 1 V, shape (f,)."""

    current_a: NDArray[np.complex128]
    cone_m_per_s: NDArray[np.complex128]
    total_m3_per_s: NDArray[np.complex128]


def ngspice() -> str:
    """Return the path of ngspice; a check without it is no check."""
    found = shutil.which("ngspice")
    assert found, "ngspice is not installed (scripts/install_test_parts.sh)"
    return found


def elements(models: BoxModels, row: int, name: str) -> list[str]:
    """Return the netlist of one box, its nodes and elements marked by `name`.

    Coil: input node `in_name`; a plain inductance only. The mechanical loop carries
    the cone's speed as its current, each chamber the volume velocity.
    """
    m = {key: float(getattr(models, key)[row, 0]) for key in (
        "Re_ohm", "Bl_tm", "Mms_kg", "Cms_m_per_n", "Rms_kg_per_s", "Sd_m2", "coil_K")}  # fmt: skip
    assert float(models.coil_n[row, 0]) == 1.0
    lines = [
        f"Vin{name} in{name} 0 DC 0 AC 1",
        f"Re{name} in{name} e1{name} {m['Re_ohm']:.12g}",
        f"Le{name} e1{name} e2{name} {max(m['coil_K'], 1e-12):.12g}",
        f"Vi{name} e2{name} e3{name} DC 0",
        f"Hemf{name} e3{name} 0 Vv{name} {m['Bl_tm']:.12g}",
        f"Hf{name} m0{name} 0 Vi{name} {m['Bl_tm']:.12g}",
        f"Vv{name} m0{name} m1{name} DC 0",
        f"Lm{name} m1{name} m2{name} {m['Mms_kg']:.12g}",
        f"Cm{name} m2{name} m3{name} {m['Cms_m_per_n']:.12g}",
        f"Rm{name} m3{name} m4{name} {m['Rms_kg_per_s']:.12g}",
        f"Er{name} m4{name} m5{name} r{name} 0 {m['Sd_m2']:.12g}",
        f"Ef{name} m5{name} 0 f{name} 0 {m['Sd_m2']:.12g}",
        f"Fr{name} 0 r{name} Vv{name} {m['Sd_m2']:.12g}",
        f"Ff{name} 0 f{name} Vv{name} {m['Sd_m2']:.12g}",
    ]
    lines += _chamber(models.rear, row, f"r{name}", open_side=False)
    return lines + _chamber(
        models.front, row, f"f{name}", open_side=float(models.front.volume_m3[row, 0]) == 0
    )


def _chamber(chamber: Chamber, row: int, node: str, *, open_side: bool) -> list[str]:
    """Return what hangs between a chamber's node and the open air, flow metered by Vo."""
    if open_side:
        return [f"Vo{node} {node} 0 DC 0"]
    value = {
        key: float(getattr(chamber, key)[row, 0])
        for key in (
            "volume_m3", "leak", "absorption_s", "vent_per_mass", "vent_damping_per_s",
            "vent_stiffness_per_s2",
        )
    }  # fmt: skip
    compliance = value["volume_m3"] / BULK_PA
    lines = [
        f"Ra{node} {node} a{node} {value['absorption_s'] / compliance + 1e-9:.12g}",
        f"Ca{node} a{node} 0 {compliance:.12g}",
        f"Vo{node} {node} o{node} DC 0",
        f"Rx{node} o{node} 0 1e15",
    ]
    if value["leak"] > 0:
        lines.append(f"Rl{node} o{node} 0 {1 / value['leak']:.12g}")
    if value["vent_per_mass"] > 0:
        mass = 1 / value["vent_per_mass"]
        lines += [
            f"Lp{node} o{node} p{node} {mass:.12g}",
            f"Rp{node} p{node} q{node} {value['vent_damping_per_s'] * mass + 1e-9:.12g}",
        ]
        own = value["vent_stiffness_per_s2"] * mass
        lines.append(f"Cp{node} q{node} 0 {1 / own:.12g}" if own else f"Vp{node} q{node} 0 DC 0")
    return lines


def solve_ac(models: BoxModels, frequency_hz: NDArray[np.float64], folder: Path) -> list[Solved]:
    """Solve every box of a table (draw 0) at evenly spaced frequencies, in one netlist."""
    names = [f"x{row}" for row in range(models.shape[0])]
    body = [line for row, name in enumerate(names) for line in elements(models, row, name)]
    vectors = [
        f"{part}(i({source}{name}))"
        for name in names
        for source in ("vi", "vv", "vor", "vof")
        for part in ("real", "imag")
    ]
    low, high, count = frequency_hz[0], frequency_hz[-1], frequency_hz.size
    control = [
        "set numdgt=14",
        "set wr_singlescale",
        f"ac lin {count} {low:.12g} {high:.12g}",
        f"wrdata {folder}/out.txt {' '.join(vectors)}",
        "quit",
    ]
    run(["* boxes", *body, ".control", *control, ".endc", ".end"], folder)
    table = np.loadtxt(folder / "out.txt")[:, 1:]
    parts = (table[:, 0::2] + 1j * table[:, 1::2]).T.reshape(len(names), 4, count)
    return [Solved(current_a=i, cone_m_per_s=v, total_m3_per_s=f - r) for i, v, r, f in parts]


def run(lines: list[str], folder: Path) -> None:
    """Run ngspice in batch on a netlist."""
    source = folder / "boxes.cir"
    source.write_text("\n".join([*lines, ""]))
    subprocess.run([ngspice(), "-b", str(source)], check=True, capture_output=True, timeout=120)
