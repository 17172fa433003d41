"""The supply network stepped through time: the only hot loop of this package.

One implicit step per sample. Coils, capacitors, the battery's surface and the
regulator's lag are replaced by a source and a resistance each (theta method: 1/2 is the
trapezoidal rule, 1 backward Euler), which leaves one quadratic equation for the voltage
of a load that takes a given power. Limits (alternator full, battery charging or not,
amplifier clipping) are settled by repeating the step until none changes. The network is
monotone, so one combination of limits fits at each step.

The replacement by sources and resistances is that of circuit simulators: L. W. Nagel,
SPICE2, memorandum ERL-M520, University of California, Berkeley, 1975; J. Vlach and
K. Singhal, Computer Methods for Circuit Analysis and Design, 1983.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from basswright.supply.circuit import Circuit, Store

_Array = NDArray[np.float64]
_Modes = NDArray[np.int64]

#: Columns of the result.
AMPLIFIER_V, BUS_V, ALTERNATOR_A, BATTERY_A, CABLE_A, CLIPPED = range(6)

# Places in the state: a value and its rate of change (in its own terms) for each part.
_BATTERY, _SECOND, _ALTERNATOR, _CABLE, _INPUT, _CAPACITOR = 0, 2, 4, 6, 8, 10
_STATES: Final = 12

# Places in the modes, and what the alternator's can be.
_ALTERNATOR_MODE, _BATTERY_MODE, _SECOND_MODE, _CLIP_MODE = range(4)
_REGULATING, _FULL, _OFF = range(3)

#: Passes in which the limits found in one are tried in the next; then all 24
#: combinations are tried in turn.
_QUICK: Final = 4
_COMBINATIONS: Final = 24


class Moment(NamedTuple):
    """What drives one step, its length, and the weight of its end.

    Attributes
    ----------
    power_w : float
        What the amplifier asks for [W].
    limit_a : float
        What the alternator can give [A].
    dt : float
        Length of the step [s].
    theta : float
        Weight of the end of the step, 1/2 to 1 [-].
    """

    power_w: float
    limit_a: float
    dt: float
    theta: float


@njit(cache=True, nogil=True)
def _store_source(s: _Array, place: int, charging: int, b: Store, m: Moment) -> tuple[float, float]:
    """Return open voltage and resistance of a battery over one step."""
    branch = b.charge_ohm if charging == 1 else b.discharge_ohm
    if b.surface_farad <= 0.0:
        return b.rest_v, b.series_ohm + branch
    h = m.theta * m.dt / b.surface_farad
    scale = 1.0 + h / branch
    held = s[place] + (1.0 - m.theta) * m.dt / b.surface_farad * s[place + 1]
    return (held + h * b.rest_v / branch) / scale, b.series_ohm + h / scale


@njit(cache=True, nogil=True)
def _capacitor_source(
    s: _Array, place: int, farad: float, ohm: float, m: Moment
) -> tuple[float, float]:
    """Return conductance and driven current of a capacitor behind its resistance."""
    if farad <= 0.0:
        return 0.0, 0.0
    siemens = 1.0 / (ohm + m.theta * m.dt / farad)
    return siemens, siemens * (s[place] + (1.0 - m.theta) * m.dt / farad * s[place + 1])


@njit(cache=True, nogil=True)
def _alternator_source(s: _Array, mode: int, c: Circuit, m: Moment) -> tuple[float, float]:
    """Return current at 0 V and conductance of the alternator over one step."""
    target, slope = 0.0, 0.0
    if mode == _REGULATING:
        target, slope = c.set_v / c.alternator_ohm, 1.0 / c.alternator_ohm
    elif mode == _FULL:
        target = m.limit_a
    if c.lag_s <= 0.0:
        return target, slope
    q = m.theta * m.dt / c.lag_s
    held = s[_ALTERNATOR] + (1.0 - m.theta) * m.dt / c.lag_s * s[_ALTERNATOR + 1]
    return (held + q * target) / (1.0 + q), q * slope / (1.0 + q)


@njit(cache=True, nogil=True)
def _bus_source(s: _Array, modes: _Modes, c: Circuit, m: Moment) -> tuple[float, float]:
    """Return open voltage and conductance of battery, alternator and the car's load."""
    open_v, ohm = _store_source(s, _BATTERY, modes[_BATTERY_MODE], c.battery, m)
    given, slope = _alternator_source(s, modes[_ALTERNATOR_MODE], c, m)
    siemens = 1.0 / ohm + slope
    return (open_v / ohm + given - c.base_a) / siemens, siemens


@njit(cache=True, nogil=True)
def _cable_source(s: _Array, modes: _Modes, c: Circuit, m: Moment) -> tuple[float, float]:
    """Return open voltage and conductance at the far end of the cable."""
    open_v, siemens = _bus_source(s, modes, c, m)
    coil = c.loop_henry / (m.theta * m.dt)
    open_v += coil * s[_CABLE] + (1.0 - m.theta) / m.theta * s[_CABLE + 1]
    return open_v, 1.0 / (1.0 / siemens + c.loop_ohm + coil)


@njit(cache=True, nogil=True)
def _load_voltage(open_v: float, siemens: float, power_w: float) -> float:
    """Return the voltage of a load that takes a power; half of open where it collapses."""
    root = open_v * open_v - 4.0 * power_w / siemens
    return 0.5 * (open_v + np.sqrt(root)) if root > 0.0 else 0.5 * open_v


@njit(cache=True, nogil=True)
def _solve(s: _Array, modes: _Modes, c: Circuit, m: Moment) -> tuple[float, float, float]:
    """Return amplifier voltage, cable current and bus voltage for one set of limits."""
    cable_v, cable_g = _cable_source(s, modes, c, m)
    input_g, input_j = _capacitor_source(s, _INPUT, c.input_farad, c.input_ohm, m)
    capacitor_g, capacitor_j = _capacitor_source(
        s, _CAPACITOR, c.capacitor_farad, c.capacitor_ohm, m
    )
    g = cable_g + input_g + capacitor_g
    j = cable_g * cable_v + input_j + capacitor_j
    if c.second.series_ohm >= 0.0:
        open_v, ohm = _store_source(s, _SECOND, modes[_SECOND_MODE], c.second, m)
        g, j = g + 1.0 / ohm, j + open_v / ohm
    if modes[_CLIP_MODE] == 1:
        amplifier_v = j / (g + c.clip_siemens)
    else:
        amplifier_v = _load_voltage(j / g, g, m.power_w)
    cable_a = cable_g * (cable_v - amplifier_v)
    bus_open, bus_g = _bus_source(s, modes, c, m)
    return amplifier_v, cable_a, bus_open - cable_a / bus_g


@njit(cache=True, nogil=True)
def _store_current(
    s: _Array, place: int, charging: int, b: Store, m: Moment, volts: float
) -> float:
    """Return the current that a battery gives at its terminals' voltage."""
    open_v, ohm = _store_source(s, place, charging, b, m)
    return (open_v - volts) / ohm


@njit(cache=True, nogil=True)
def _set(modes: _Modes, place: int, wanted: int) -> bool:
    """Set a mode and tell whether it changed."""
    if modes[place] == wanted:
        return False
    modes[place] = wanted
    return True


@njit(cache=True, nogil=True)
def _judge(
    s: _Array, modes: _Modes, c: Circuit, m: Moment, amplifier_v: float, bus_v: float
) -> bool:
    """Set the limits that the voltages call for and tell whether any changed."""
    wanted_a = (c.set_v - bus_v) / c.alternator_ohm
    alternator = _FULL if wanted_a > m.limit_a else (_OFF if wanted_a < 0.0 else _REGULATING)
    given = _store_current(s, _BATTERY, modes[_BATTERY_MODE], c.battery, m, bus_v)
    above = bus_v + c.battery.series_ohm * given > c.battery.rest_v
    changed = _set(modes, _BATTERY_MODE, 1 if above else 0)
    if _set(modes, _ALTERNATOR_MODE, alternator):
        changed = True
    if c.second.series_ohm >= 0.0:
        given = _store_current(s, _SECOND, modes[_SECOND_MODE], c.second, m, amplifier_v)
        above = amplifier_v + c.second.series_ohm * given > c.second.rest_v
        if _set(modes, _SECOND_MODE, 1 if above else 0):
            changed = True
    if c.clip_siemens > 0.0:
        beyond = m.power_w > c.clip_siemens * amplifier_v * amplifier_v
        if _set(modes, _CLIP_MODE, 1 if beyond else 0):
            changed = True
    return changed


@njit(cache=True, nogil=True)
def _combine(modes: _Modes, number: int) -> None:
    """Set the limits to one of their combinations."""
    modes[_ALTERNATOR_MODE] = number % 3
    modes[_BATTERY_MODE] = number // 3 % 2
    modes[_SECOND_MODE] = number // 6 % 2
    modes[_CLIP_MODE] = number // 12


@njit(cache=True, nogil=True)
def _carry_store(
    s: _Array, place: int, charging: int, b: Store, given: float, volts: float
) -> None:
    """Carry a battery's surface over to the next step."""
    branch = b.charge_ohm if charging == 1 else b.discharge_ohm
    s[place] = volts + b.series_ohm * given
    s[place + 1] = (b.rest_v - s[place]) / branch - given


@njit(cache=True, nogil=True)
def _carry_capacitor(
    s: _Array, place: int, farad: float, ohm: float, m: Moment, volts: float
) -> None:
    """Carry a capacitor over to the next step."""
    if farad > 0.0:
        siemens, driven = _capacitor_source(s, place, farad, ohm, m)
        s[place + 1] = siemens * volts - driven
        s[place] = volts - ohm * s[place + 1]


@njit(cache=True, nogil=True)
def _carry_alternator(s: _Array, mode: int, c: Circuit, m: Moment, bus_v: float) -> None:
    """Carry the alternator's current, and how far it is from what is wanted."""
    given, slope = _alternator_source(s, mode, c, m)
    target = m.limit_a if mode == _FULL else 0.0
    if mode == _REGULATING:
        target = (c.set_v - bus_v) / c.alternator_ohm
    s[_ALTERNATOR] = given - slope * bus_v
    s[_ALTERNATOR + 1] = target - s[_ALTERNATOR]


@njit(cache=True, nogil=True)
def _step(s: _Array, modes: _Modes, c: Circuit, m: Moment, out: _Array) -> None:
    """Advance the state by one step and write one row of the result."""
    amplifier_v, cable_a, bus_v = 0.0, 0.0, 0.0
    for attempt in range(_QUICK + _COMBINATIONS):
        if attempt >= _QUICK:
            _combine(modes, attempt - _QUICK)
        amplifier_v, cable_a, bus_v = _solve(s, modes, c, m)
        if not _judge(s, modes, c, m, amplifier_v, bus_v):
            break
    battery_a = _store_current(s, _BATTERY, modes[_BATTERY_MODE], c.battery, m, bus_v)
    _carry_store(s, _BATTERY, modes[_BATTERY_MODE], c.battery, battery_a, bus_v)
    if c.second.series_ohm >= 0.0:
        given = _store_current(s, _SECOND, modes[_SECOND_MODE], c.second, m, amplifier_v)
        _carry_store(s, _SECOND, modes[_SECOND_MODE], c.second, given, amplifier_v)
    _carry_alternator(s, modes[_ALTERNATOR_MODE], c, m, bus_v)
    coil_v = c.loop_henry / (m.theta * m.dt) * (cable_a - s[_CABLE])
    s[_CABLE + 1] = coil_v - (1.0 - m.theta) / m.theta * s[_CABLE + 1]
    s[_CABLE] = cable_a
    _carry_capacitor(s, _INPUT, c.input_farad, c.input_ohm, m, amplifier_v)
    _carry_capacitor(s, _CAPACITOR, c.capacitor_farad, c.capacitor_ohm, m, amplifier_v)
    out[AMPLIFIER_V], out[BUS_V], out[ALTERNATOR_A] = amplifier_v, bus_v, s[_ALTERNATOR]
    out[BATTERY_A], out[CABLE_A], out[CLIPPED] = battery_a, cable_a, float(modes[_CLIP_MODE])


@njit(cache=True, nogil=True)
def run(power_w: _Array, limit_a: _Array, c: Circuit, dt: float, inner: int) -> _Array:
    """Step the network through a power demand, from its rest at the first sample.

    Parameters
    ----------
    power_w : ndarray, shape (t,)
        Power that the amplifier wants from the supply at each sample [W].
    limit_a : ndarray, shape (t,)
        What the alternator can give at each sample [A].
    c : Circuit
    dt : float
        Time between samples [s].
    inner : int
        Steps from one sample to the next; power and limit run straight in between.

    Returns
    -------
    ndarray, shape (t, 6)
        Amplifier and bus voltage [V], alternator, battery and cable current [A], clipped
        (1, 0).

    References
    ----------
    .. [1] L. W. Nagel, SPICE2: A Computer Program to Simulate Semiconductor Circuits,
       memorandum ERL-M520, University of California, Berkeley, 1975 (trapezoidal companion
       models).
    """
    out = np.empty((power_w.size, 6))
    state, modes = np.zeros(_STATES), np.zeros(4, dtype=np.int64)
    # One backward step of endless length is the state of rest.
    _step(state, modes, c, Moment(power_w[0], limit_a[0], 1e9, 1.0), out[0])
    for n in range(1, power_w.size):
        for k in range(1, inner + 1):
            share = k / inner
            power = power_w[n - 1] + share * (power_w[n] - power_w[n - 1])
            limit = limit_a[n - 1] + share * (limit_a[n] - limit_a[n - 1])
            _step(state, modes, c, Moment(power, limit, dt / inner, 0.5), out[n])
    return out
