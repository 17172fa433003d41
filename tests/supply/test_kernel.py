"""The stepped network against ngspice, hand calculation, and energy balance."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.supply import constant_power_current_a, kernel
from basswright.supply.circuit import NO_STORE, Circuit, Store
from basswright.supply.programme import STEP_S, bursts
from basswright.supply.simulate import INNER_STEPS
from tests.supply.spice import transient

LIVELY = Circuit(
    battery=Store(12.65, 4.4e-3, 178.0, 4.4e-3, 0.28),
    second=NO_STORE,
    set_v=14.0,
    alternator_ohm=2e-3,
    lag_s=0.1,
    base_a=35.0,
    loop_ohm=6.5e-3,
    loop_henry=4.4e-6,
    input_farad=10e-3,
    input_ohm=5e-3,
    capacitor_farad=0.0,
    capacitor_ohm=2.5e-3,
    clip_siemens=0.0,
)
#: Battery 12.70 V behind 8 mohm, alternator 14.3 V behind 20 mohm without lag.
PLAIN = LIVELY._replace(
    battery=Store(12.70, 8e-3, 0.0, 1e-9, 1e-9),
    set_v=14.3,
    alternator_ohm=20e-3,
    lag_s=0.0,
    loop_henry=5e-6,
)
VARIANTS = {
    "as it is": LIVELY,
    "capacitor": LIVELY._replace(capacitor_farad=1.0),
    "second battery": LIVELY._replace(second=Store(12.65, 5e-3, 150.0, 5e-3, 0.3)),
    "clipping amplifier": LIVELY._replace(clip_siemens=1250 / 14.4**2),
    "no lag, no surface": PLAIN,
}


def _run(circuit: Circuit, demand: np.ndarray, limit_a: float) -> np.ndarray:
    limit = np.full(demand.size, limit_a)
    return kernel.run(demand, limit, circuit, STEP_S, INNER_STEPS)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_network_agrees_with_ngspice(name: str) -> None:
    """Voltages of a bursting 1250 W load within 5 mV at every sample, 0.5 mV RMS."""
    demand = bursts(0.7, period_s=0.35) * 1250.0
    time = np.arange(demand.size) * STEP_S
    amplifier, bus = transient(VARIANTS[name], time, demand, 60.0, step_s=1e-4)
    rows = _run(VARIANTS[name], demand, 60.0)
    assert rows[:, kernel.AMPLIFIER_V] == pytest.approx(amplifier, abs=5e-3)
    assert rows[:, kernel.BUS_V] == pytest.approx(bus, abs=5e-3)
    assert np.sqrt(np.mean((rows[:, kernel.AMPLIFIER_V] - amplifier) ** 2)) < 5e-4


@pytest.mark.parametrize(
    ("limit_a", "base_a", "amplifier_v", "bus_v"),
    [(60.0, 35.0, 11.30, 12.01), (130.0, 35.0, 11.65, 12.34), (0.0, 5.0, 11.01, 11.75)],
)
def test_bursts_settle_where_ohms_law_says(
    limit_a: float, base_a: float, amplifier_v: float, bus_v: float
) -> None:
    """Two sources in parallel, or one beside an alternator at its limit, and a load that
    takes its 1250 W behind 6.5 mohm more: a quadratic equation, solved by hand."""
    demand = bursts(1.0, on_s=0.3) * 1250.0
    rows = _run(PLAIN._replace(base_a=base_a), demand, limit_a)
    last = np.flatnonzero(demand == demand.max())[-1]
    assert rows[last, kernel.AMPLIFIER_V] == pytest.approx(amplifier_v, abs=0.02)
    assert rows[last, kernel.BUS_V] == pytest.approx(bus_v, abs=0.02)
    regulating = (14.3 - bus_v) / 20e-3 < limit_a
    siemens = 1 / 8e-3 + (1 / 20e-3 if regulating else 0.0)
    given = 14.3 / 20e-3 if regulating else limit_a
    source = (12.7 / 8e-3 + given - base_a) / siemens
    current = float(constant_power_current_a(1250.0, source, 1 / siemens + 6.5e-3))
    assert rows[last, kernel.CABLE_A] == pytest.approx(current, rel=1e-3)


def test_a_capacitor_lifts_the_mean_of_a_burst_and_hardly_its_end() -> None:
    """1 F at 2.5 mohm: some 0.2 to 0.4 V on average over 100 ms, under 0.1 V at the end.

    Its energy between 13.5 and 11.5 V is 25 J, 20 ms of 1250 W.
    """
    energy_j = 0.5 * 1.0 * (13.5**2 - 11.5**2)
    assert energy_j / 1250 == pytest.approx(0.020)
    demand = bursts(2.0) * 1250.0
    on = demand > 1249
    bare = _run(PLAIN, demand, 60.0)[:, kernel.AMPLIFIER_V]
    helped = _run(PLAIN._replace(capacitor_farad=1.0), demand, 60.0)[:, kernel.AMPLIFIER_V]
    assert 0.2 < helped[on].mean() - bare[on].mean() < 0.45
    last = np.flatnonzero(on)[-1]
    assert abs(helped[last] - bare[last]) < 0.1


def test_currents_balance_at_the_bus() -> None:
    """Alternator and battery give what base load and cable take, at every step."""
    demand = bursts(1.0) * 1250.0
    rows = _run(LIVELY, demand, 60.0)
    given = rows[:, kernel.ALTERNATOR_A] + rows[:, kernel.BATTERY_A]
    assert given == pytest.approx(35.0 + rows[:, kernel.CABLE_A], abs=1e-6)
    assert rows[:, kernel.ALTERNATOR_A].max() <= 60.0 + 1e-9


def test_halving_the_step_quarters_the_error() -> None:
    """The trapezoidal rule is of second order."""
    demand = bursts(0.5, period_s=0.25, rise_s=0.02) * 1000.0
    limit = np.full(demand.size, 60.0)
    calm = LIVELY._replace(capacitor_farad=0.1)
    fine = kernel.run(demand, limit, calm, STEP_S, 160)[:, 0]
    error = [
        np.sqrt(np.mean((kernel.run(demand, limit, calm, STEP_S, n)[:, 0] - fine) ** 2))
        for n in (2, 4, 8)
    ]
    assert error[0] / error[1] == pytest.approx(4, abs=1.2)
    assert error[1] / error[2] == pytest.approx(4, abs=1.2)


def test_a_demand_beyond_the_supply_collapses_to_half_its_voltage() -> None:
    """No solution: the greatest power of a source comes at half its open voltage."""
    weak = PLAIN._replace(loop_ohm=0.1, base_a=0.0)
    rows = _run(weak, np.full(10, 5000.0), 0.0)
    assert rows[0, kernel.AMPLIFIER_V] == pytest.approx(12.7 / 2)
    assert np.all(np.isfinite(rows))
