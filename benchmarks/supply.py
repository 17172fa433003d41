"""A four-minute track through the supply simulation, against ngspice on the same network."""

from __future__ import annotations

import os
import resource
from collections.abc import Callable
from time import process_time

import numpy as np
from numpy.typing import NDArray
from tests.supply.spice import transient

from basswright.supply import demand_w, invented_piece, kernel, track_share
from basswright.supply.circuit import NO_STORE, Circuit, Store
from basswright.supply.programme import STEP_S
from basswright.supply.simulate import INNER_STEPS

_CIRCUIT = Circuit(
    battery=Store(12.65, 4.4e-3, 178.0, 4.4e-3, 0.28),
    second=NO_STORE,
    set_v=14.0,
    alternator_ohm=2e-3,
    lag_s=0.1,
    base_a=45.0,
    loop_ohm=6.5e-3,
    loop_henry=4.4e-6,
    input_farad=10e-3,
    input_ohm=5e-3,
    capacitor_farad=0.0,
    capacitor_ohm=2.5e-3,
    clip_siemens=0.0,
)
_LIMIT_A = 60.0
_SPICE_S, _TRACK_S = 4.0, 240.0
_RATE_HZ = 44100.0


def _cpu_with_children() -> float:
    """Return CPU seconds of this process and of those that it waited for."""
    mine, theirs = (
        resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return mine.ru_utime + mine.ru_stime + theirs.ru_utime + theirs.ru_stime


def _timed(
    run: Callable[[], NDArray[np.float64]],
) -> tuple[NDArray[np.float64], float]:
    start = _cpu_with_children()
    found = run()
    return found, _cpu_with_children() - start


def _ours(demand: NDArray[np.float64]) -> NDArray[np.float64]:
    limit = np.full(demand.size, _LIMIT_A)
    return kernel.run(demand, limit, _CIRCUIT, STEP_S, INNER_STEPS)[:, kernel.AMPLIFIER_V]


def main() -> None:
    """Print CPU times and errors."""
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    short = demand_w(invented_piece(_SPICE_S), 1000.0, 0.8)
    time = np.arange(short.size) * STEP_S

    def spice(step_s: float, options: str) -> NDArray[np.float64]:
        return transient(_CIRCUIT, time, short, _LIMIT_A, step_s=step_s, options=options)[0]

    tight = "reltol=1e-6 abstol=1e-7 vntol=1e-7"
    reference, slow = _timed(lambda: spice(1e-5, tight))
    _ours(short)  # compile
    ours, _ = _timed(lambda: _ours(short))
    print(f"{_SPICE_S:g} s of programme, CPU s; error against ngspice in steps of 10 us")
    rows = [("ngspice, 10 us, the reference", slow, reference)]
    for step_s in (1e-4, 5e-4):
        found, cpu = _timed(lambda step_s=step_s: spice(step_s, "reltol=1e-3"))
        rows.append((f"ngspice, at most {step_s * 1e6:.0f} us, its own tolerance", cpu, found))
    start = process_time()
    for _ in range(20):
        _ours(short)
    mine = (process_time() - start) / 20
    rows.append((f"basswright, {STEP_S / INNER_STEPS * 1e6:.0f} us", mine, ours))
    for name, cpu, found in rows:
        error = np.abs(found - reference)
        rms = float(np.sqrt(np.mean(error**2))) * 1e3
        print(
            f"  {name:45s} {cpu:9.4f}  max {error.max() * 1e3:6.2f} mV  rms {rms:7.4f} mV"
            f"  {cpu / mine:8.0f} x"
        )
    rng = np.random.default_rng(1)
    samples = rng.normal(scale=0.2, size=(int(_RATE_HZ * _TRACK_S), 2)).astype(np.float32)
    track_share(samples[:90000], _RATE_HZ)
    start = process_time()
    share = track_share(samples, _RATE_HZ)
    read = process_time()
    _ours(demand_w(share / share.max(), 1000.0, 0.8))
    done = process_time()
    print(f"{_TRACK_S / 60:g}-minute stereo track at {_RATE_HZ:g} Hz, CPU s")
    print(f"  samples to bass power  {read - start:6.2f}")
    print(f"  simulation             {done - read:6.2f}")
    print(f"  whole                  {done - start:6.2f}")


if __name__ == "__main__":
    main()
