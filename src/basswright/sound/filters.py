"""What the filters of the chain let through."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError

#: Both filters are fourth-order Butterworth (24 dB per octave, -3 dB at the corner).
ORDER = 4


def chain_response(
    frequency_hz: NDArray[np.float64],
    *,
    lowpass_hz: float | None = None,
    infrasonic_hz: float | None = None,
) -> NDArray[np.complex128]:
    """Return what low-pass and infrasonic filter leave of the signal [-].

    Parameters
    ----------
    frequency_hz : ndarray, shape (f,)
        Above 0 [Hz].
    lowpass_hz, infrasonic_hz : float, optional
        Corners at -3 dB; None leaves the filter out [Hz].

    Returns
    -------
    ndarray of complex, shape (f,)
        1 in the pass band [-].

    Raises
    ------
    InputError
        A corner that is not positive, or an infrasonic one not below the low-pass.

    Notes
    -----
    Butterworth polynomials of fourth order: poles on a circle at 22.5 and 67.5 degrees from
    the real axis, 24 dB an octave.

    References
    ----------
    .. [1] S. Butterworth, "On the theory of filter amplifiers", Experimental Wireless and the
       Wireless Engineer 7, 1930, pp. 536-541.
    """
    _check(lowpass_hz, infrasonic_hz)
    jf = np.asarray(1j * np.asarray(frequency_hz, dtype=float), dtype=np.complex128)
    answer = np.ones(jf.shape, dtype=np.complex128)
    if lowpass_hz is not None:
        answer = answer * _butterworth(jf / lowpass_hz)
    if infrasonic_hz is not None:
        answer = answer * _butterworth(infrasonic_hz / jf)
    return answer


def _butterworth(p: NDArray[np.complex128]) -> NDArray[np.complex128]:
    slow, fast = 2 * np.sin(np.pi / 8), 2 * np.cos(np.pi / 8)
    return np.asarray(1 / ((p * p + slow * p + 1) * (p * p + fast * p + 1)))


def _check(lowpass_hz: float | None, infrasonic_hz: float | None) -> None:
    for name, value in (("lowpass_hz", lowpass_hz), ("infrasonic_hz", infrasonic_hz)):
        if value is not None and not (np.isfinite(value) and value > 0):
            raise InputError("not a corner frequency", field=name, value=value, allowed="above 0")
    if lowpass_hz is not None and infrasonic_hz is not None and infrasonic_hz >= lowpass_hz:
        raise InputError(
            "the infrasonic filter lies above the low-pass",
            field="infrasonic_hz",
            value=infrasonic_hz,
            allowed=f"below {lowpass_hz:g} Hz",
        )
