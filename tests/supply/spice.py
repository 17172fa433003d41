"""The supply network as a netlist for ngspice, an independent circuit simulator."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.supply.circuit import Circuit, Store


def _store(name: str, store: Store, node: str) -> list[str]:
    branch = (
        f"B{name} {name}e {name}s I = V({name}e,{name}s) > 0 ? "
        f"V({name}e,{name}s)/{store.discharge_ohm} : V({name}e,{name}s)/{store.charge_ohm}"
    )
    return [
        f"V{name} {name}e 0 {store.rest_v}",
        branch,
        f"C{name} {name}s 0 {store.surface_farad}" if store.surface_farad else "",
        f"R{name} {name}s {node} {store.series_ohm}",
    ]


def netlist(
    circuit: Circuit, time_s: NDArray[np.float64], demand_w: NDArray[np.float64], limit_a: float
) -> list[str]:
    """Return the lines of the network; the demand is linear between its points."""
    c = circuit
    points = "\n".join(f"+ {t:.9g} {w:.9g}" for t, w in zip(time_s, demand_w, strict=True))
    wanted = f"min(max(({c.set_v}-V(bus))/{c.alternator_ohm},0),{limit_a})"
    power = "V(p)"
    if c.clip_siemens:
        power = f"min(V(p),{c.clip_siemens}*V(amp)*V(amp))"
    lines = [
        "supply",
        f"Vp p 0 PWL(\n{points})",
        *_store("bat", c.battery, "bus"),
        f"Bt t 0 V = {wanted}",
        "Rlag t a 1",
        f"Clag a 0 {c.lag_s}" if c.lag_s else "",
        "Ba 0 bus I = V(a)",
        f"Ibase bus 0 {c.base_a}",
        f"Rloop bus x {c.loop_ohm}",
        f"Lloop x amp {c.loop_henry}",
        f"Bload amp 0 I = {power}/max(V(amp),1)",
        f"Cin amp in {c.input_farad}",
        f"Rin in 0 {c.input_ohm}",
    ]
    if c.capacitor_farad:
        lines += [f"Ccap amp cap {c.capacitor_farad}", f"Rcap cap 0 {c.capacitor_ohm}"]
    if c.second.series_ohm >= 0:
        lines += _store("sec", c.second, "amp")
    return [line for line in lines if line]


def transient(
    circuit: Circuit,
    time_s: NDArray[np.float64],
    demand_w: NDArray[np.float64],
    limit_a: float,
    *,
    step_s: float,
    options: str = "reltol=1e-5 abstol=1e-6 vntol=1e-6",
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Run ngspice and return amplifier and bus voltage at the given times.

    Raises
    ------
    RuntimeError
        ngspice is not installed, or it failed.
    """
    program = shutil.which("ngspice")
    if program is None:
        raise RuntimeError("ngspice is needed for this check: apt-get install ngspice")
    with tempfile.TemporaryDirectory() as folder:
        lines = netlist(circuit, time_s, demand_w, limit_a)
        lines += [
            f".options {options}",
            f".tran {step_s} {time_s[-1]} 0 {step_s}",
            ".control",
            "run",
            "set wr_singlescale",
            "wrdata out.txt v(amp) v(bus)",
            ".endc",
            ".end",
        ]
        Path(folder, "net.cir").write_text("\n".join(lines))
        done = subprocess.run(
            [program, "-b", "net.cir"], cwd=folder, capture_output=True, text=True, check=False
        )
        result = Path(folder, "out.txt")
        if not result.exists():
            raise RuntimeError(f"ngspice failed: {done.stdout[-500:]} {done.stderr[-500:]}")
        rows = np.loadtxt(result)
    return (
        np.interp(time_s, rows[:, 0], rows[:, 1]),
        np.interp(time_s, rows[:, 0], rows[:, 2]),
    )
