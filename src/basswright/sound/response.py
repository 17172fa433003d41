"""What a box does for one volt: sound, movement, impedance, delay, step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.sound.air import RHO_KG_PER_M3, half_space_transfer
from basswright.sound.grid import checked_grid
from basswright.sound.models import BoxModels
from basswright.sound.network import Complex, solve

#: Relative step of the derivative that gives the group delay.
_STEP: Final = 1e-5
#: Terms of the Euler summation that inverts the Laplace transform.
_TERMS: Final = 18


@dataclass(frozen=True, kw_only=True)
class Response:
    """Small-signal answers of n boxes in d draws for 1 V RMS, shape (n, d, f).

    Displacements and speeds are complex RMS values per volt, outwards positive.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
        [Hz]
    pressure_pa : ndarray of complex
        At 1 m in half space [Pa].
    flow_m3_per_s : ndarray of complex
        Volume velocity of the whole box [m3/s].
    impedance_ohm : ndarray of complex
        At the terminals [ohm].
    cone_m, cone_m_per_s : ndarray of complex
        Of the cones [m] and [m/s].
    vent_m, vent_m_per_s : ndarray of complex
        Of the port's air or the radiators in the wall of the rear chamber [m] and [m/s].
    front_vent_m, front_vent_m_per_s : ndarray of complex
        The same for the front chamber of a bandpass box [m] and [m/s].
    group_delay_s : ndarray
        Of the pressure [s].
    """

    frequency_hz: NDArray[np.float64]
    pressure_pa: Complex
    flow_m3_per_s: Complex
    impedance_ohm: Complex
    cone_m: Complex
    cone_m_per_s: Complex
    vent_m: Complex
    vent_m_per_s: Complex
    front_vent_m: Complex
    front_vent_m_per_s: Complex
    group_delay_s: NDArray[np.float64]


def respond(models: BoxModels, frequency_hz: ArrayLike) -> Response:
    """Answer of each box for 1 V RMS at its terminals.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array_like, shape (f,)
        Rising, 0.5 to 20,000 [Hz].

    Returns
    -------
    Response
        Arrays of shape (n, d, f).

    Raises
    ------
    InputError
        A frequency grid that is empty, not rising, not finite or out of range.

    References
    ----------
    .. [1] As :func:`~basswright.sound.network.solve` and
       :func:`~basswright.sound.air.half_space_transfer`.
    """
    grid = checked_grid(frequency_hz)
    s = _jw(grid)
    flow = solve(models, s)
    rear_speed = flow.rear_m3_per_s / models.rear.vent_area_m2[..., None]
    front_speed = flow.front_m3_per_s / models.front.vent_area_m2[..., None]
    return Response(
        frequency_hz=grid,
        pressure_pa=flow.total_m3_per_s * half_space_transfer(grid),
        flow_m3_per_s=flow.total_m3_per_s,
        impedance_ohm=flow.impedance_ohm,
        cone_m=flow.cone_m_per_s / s,
        cone_m_per_s=flow.cone_m_per_s,
        vent_m=rear_speed / s,
        vent_m_per_s=rear_speed,
        front_vent_m=front_speed / s,
        front_vent_m_per_s=front_speed,
        group_delay_s=group_delay(models, grid),
    )


def group_delay(models: BoxModels, frequency_hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the group delay of the half-space pressure [s].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : ndarray, shape (f,)
        Above 0 [Hz].

    Returns
    -------
    ndarray, shape (n, d, f)
        Minus the slope of the phase over the angular frequency [s].

    Notes
    -----
    The pressure H(s) is analytic, so that -d(phase)/dw = -Re(H'(s)/H(s)) at s = j w; H' is a
    central difference.

    References
    ----------
    .. [1] A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing (group delay as
       minus the derivative of the phase).
    """
    s = _jw(frequency_hz)
    high, low = _jw(frequency_hz * (1 + _STEP)), _jw(frequency_hz * (1 - _STEP))
    above = solve(models, high).total_m3_per_s * high
    below = solve(models, low).total_m3_per_s * low
    slope = (above - below) / (2 * _STEP * s)
    return np.asarray(-np.real(2 * slope / (above + below)))


def _jw(frequency_hz: NDArray[np.float64]) -> Complex:
    return np.asarray(2j * np.pi * frequency_hz, dtype=np.complex128)


def step_response(models: BoxModels, time_s: ArrayLike) -> NDArray[np.float64]:
    """Return the pressure at 1 m in half space after 1 V is switched on [Pa].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    time_s : array_like, shape (t,)
        Times after the step, above zero and at most 0.5 [s].

    Returns
    -------
    ndarray, shape (n, d, t)
        Sound pressure [Pa].

    Raises
    ------
    InputError
        A time outside that range.

    Notes
    -----
    The Laplace transform is inverted numerically, so that a semi-inductance, which has
    no finite set of poles, is carried exactly: Euler summation of the Fourier series.

    References
    ----------
    .. [1] J. Abate and W. Whitt, "Numerical inversion of Laplace transforms of probability
       distributions", ORSA Journal on Computing 7(1), 1995, pp. 36-43.
    """
    time = np.asarray(time_s, dtype=float)
    if time.ndim != 1 or not np.all((time > 0) & (time <= 0.5)):
        raise InputError("not a time after the step", field="time_s", allowed="0 to 0.5 s")
    nodes, weights = _euler_rule(_TERMS)
    s = (nodes[:, None] / time).ravel()
    pressure = solve(models, s).total_m3_per_s * RHO_KG_PER_M3 / (2 * np.pi)
    terms = np.real(pressure.reshape(*models.shape, nodes.size, time.size))
    return np.asarray(np.einsum("k,ndkt->ndt", weights, terms) / time)


def _euler_rule(terms: int) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Nodes and weights: f(t) is near sum of weights Re F(nodes / t) / t."""
    from scipy.special import comb

    count = 2 * terms + 1
    k = np.arange(count)
    nodes = terms * np.log(10) / 3 + 1j * np.pi * k
    tail = np.cumsum(comb(terms, np.arange(terms))) * 2.0**-terms
    xi = np.concatenate(([0.5], np.ones(terms), tail[::-1]))
    weights = 10 ** (terms / 3) * (-1.0) ** k * xi
    return nodes, np.asarray(weights, dtype=np.float64)
