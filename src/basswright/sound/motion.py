"""The compiled integrator behind the large-signal waveforms."""

from __future__ import annotations

import numpy as np

from basswright.sound.compiled import compiled, inlined
from basswright.sound.models import Array

#: State: current, cone excursion and speed, then pressure in the compliance, flow and
#: displaced volume of the opening, for the rear and the front chamber.
_STATES = 9
#: Where a chamber's parameters start.
_REAR, _FRONT = 10, 16


@inlined
def _pressure(p: Array, k: int, stored: float, flow_in: float, flow_out: float) -> float:
    """Pressure at the cone: that of the compliance and of the loss in series with it."""
    if p[k] == 0.0:
        return 0.0
    series = p[k + 2] / p[k]
    return float((stored + series * (flow_in - flow_out)) / (1.0 + series * p[k + 1]))


@compiled
def slope(p: Array, state: Array, volts: float, out: Array) -> float:
    """Fill the time derivative of the state; return that of the total volume velocity.

    Parameters
    ----------
    p : ndarray, shape (22,)
        Re, Le, Bl, Mms, stiffness, Rms, Sd, curvature of Bl and stiffness [m^-2], rest
        position [m], and for each chamber compliance, leak, absorption time, inverse mass,
        damping and stiffness over mass of its opening; all in SI.
    state : ndarray, shape (9,)
        Current [A], cone excursion [m] and speed [m/s], then pressure in the compliance
        [Pa], flow [m3/s] and displaced volume [m3] of the opening, rear and front.
    volts : float
        At the terminals [V].
    out : ndarray, shape (9,)
        Filled: the state's change a second.

    Returns
    -------
    float
        Acceleration of the volume of the whole box [m3/s2].

    References
    ----------
    .. [1] W. Klippel, JAES 54(10), 2006, pp. 907-939 (state equations of a driver with
       curved parameters).
    """
    i, x, v = state[0], state[1], state[2]
    off = x - p[9]
    Bl = p[2] / (1.0 + p[7] * off * off)
    k = p[4] * (1.0 + p[8] * off * off)
    push = p[6] * v
    inward, outward = _pressure(p, _REAR, state[3], -push, state[4]), 0.0
    opened = p[_FRONT] == 0.0
    if not opened:
        outward = _pressure(p, _FRONT, state[6], push, state[7])
    if p[1] > 0.0:
        out[0] = (volts - p[0] * i - Bl * v) / p[1]
    else:
        i = (volts - Bl * v) / p[0]
        out[0] = 0.0
    force = Bl * i - p[5] * v - k * x + p[6] * (inward - outward)
    out[1] = v
    out[2] = force / p[3]
    out[3] = (-push - state[4] - p[_REAR + 1] * inward) / p[_REAR]
    out[4] = p[_REAR + 3] * inward - p[_REAR + 4] * state[4] - p[_REAR + 5] * state[5]
    out[5] = state[4]
    rear_leak = p[_REAR + 1] * _pressure(p, _REAR, out[3], -p[6] * out[2], out[4])
    if opened:
        out[6] = out[7] = out[8] = 0.0
        return float(p[6] * out[2] + out[4] + rear_leak)
    out[6] = (push - state[7] - p[_FRONT + 1] * outward) / p[_FRONT]
    out[7] = p[_FRONT + 3] * outward - p[_FRONT + 4] * state[7] - p[_FRONT + 5] * state[8]
    out[8] = state[7]
    front_leak = p[_FRONT + 1] * _pressure(p, _FRONT, out[6], p[6] * out[2], out[7])
    return float(out[4] + rear_leak + out[7] + front_leak)


@compiled
def integrate(p: Array, volts: Array, step: float) -> Array:
    """Integrate from rest by Runge and Kutta's rule of fourth order.

    Parameters
    ----------
    p : ndarray, shape (22,)
        As in :func:`slope`.
    volts : ndarray, shape (t,)
        At the terminals [V].
    step : float
        Time between samples [s].

    Returns
    -------
    ndarray, shape (t, 10)
        State, and acceleration of the volume of the whole box [m3/s2].

    References
    ----------
    .. [1] E. Hairer, S. P. Nørsett and G. Wanner, Solving Ordinary Differential Equations I,
       2nd ed., Springer, 1993, chapter II.
    """
    path = np.zeros((volts.size, _STATES + 1))
    state = np.zeros(_STATES)
    a, b, c, d = np.zeros(_STATES), np.zeros(_STATES), np.zeros(_STATES), np.zeros(_STATES)
    for t in range(volts.size):
        path[t, _STATES] = slope(p, state, volts[t], a)
        path[t, :_STATES] = state
        if p[1] == 0.0:
            off = state[1] - p[9]
            path[t, 0] = (volts[t] - p[2] / (1.0 + p[7] * off * off) * state[2]) / p[0]
        if t + 1 == volts.size:
            break
        middle = 0.5 * (volts[t] + volts[t + 1])
        slope(p, state + 0.5 * step * a, middle, b)
        slope(p, state + 0.5 * step * b, middle, c)
        slope(p, state + step * c, volts[t + 1], d)
        state = state + step / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    return path
