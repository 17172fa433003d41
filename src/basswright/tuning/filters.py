"""What filter coefficients stand behind a setting, and what do they do?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.tuning import Biquad, EqualiserBand, PassFilter

_PASS_ORDERS = {
    "butterworth": (6, 12, 18, 24, 30, 36, 42, 48),
    "linkwitz-riley": (12, 24, 36, 48),
}


def peaking(band: EqualiserBand, sample_rate_hz: float) -> Biquad:
    """Return the section of one parametric band.

    Notes
    -----
    ``H(s) = (s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1)``, A = 10^(gain/40), bilinear
    transform [1]_.

    References
    ----------
    .. [1] R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021.
    """
    _check_below_half_rate(band.frequency_hz, sample_rate_hz)
    root = 10 ** (band.gain_db / 40)
    omega = 2 * np.pi * band.frequency_hz / sample_rate_hz
    alpha = np.sin(omega) / (2 * band.Q)
    middle = -2 * np.cos(omega)
    return _section(
        f"{band.frequency_hz:.0f} Hz band",
        (1 + alpha * root, middle, 1 - alpha * root),
        (1 + alpha / root, middle, 1 - alpha / root),
    )


def low_pass(setting: PassFilter, sample_rate_hz: float) -> tuple[Biquad, ...]:
    """Return the sections of a low-pass; see :func:`_pass_sections`."""
    return _pass_sections("low-pass", setting, sample_rate_hz)


def infrasonic(setting: PassFilter, sample_rate_hz: float) -> tuple[Biquad, ...]:
    """Return the sections of an infrasonic (high-pass) filter."""
    return _pass_sections("infrasonic filter", setting, sample_rate_hz)


def response(
    biquads: Sequence[Biquad], frequency_hz: ArrayLike, sample_rate_hz: float
) -> NDArray[np.complex128]:
    """Return the complex response of sections in series, on the frequencies given [-]."""
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    back = np.exp(-2j * np.pi * frequency / sample_rate_hz)
    total = np.ones(frequency.shape, dtype=np.complex128)
    for one in biquads:
        over = one.b0 + back * (one.b1 + back * one.b2)
        total *= over / (1 + back * (one.a1 + back * one.a2))
    return total


def peaking_db(
    frequency_hz: NDArray[np.float64],
    *,
    centre_hz: NDArray[np.float64],
    gain_db: NDArray[np.float64],
    Q: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the level of analogue peaking bands [dB], shape (bands, f).

    The analogue form of :func:`peaking`; at bass frequencies and 44.1 kHz or more the
    two differ by less than 0.001 dB.
    """
    root = 10 ** (gain_db / 40)[:, None]
    ratio = frequency_hz / centre_hz[:, None]
    detune = (1 - ratio**2) ** 2
    width = ratio / Q[:, None]
    power = (detune + (width * root) ** 2) / (detune + (width / root) ** 2)
    decibels: NDArray[np.float64] = 10 * np.log10(power)
    return decibels


def pass_db(
    frequency_hz: NDArray[np.float64], setting: PassFilter, *, high: bool
) -> NDArray[np.float64]:
    """Return the level of an analogue low-pass or (`high`) high-pass [dB]."""
    order = setting.slope_db_per_octave // 6
    ratio = frequency_hz / setting.frequency_hz
    power = (1 / ratio if high else ratio) ** 2
    if setting.family == "linkwitz-riley":
        level = -20 * np.log10(1 + power ** (order // 2))
    else:
        level = -10 * np.log10(1 + power**order)
    decibels: NDArray[np.float64] = level
    return decibels


def _pass_sections(what: str, setting: PassFilter, sample_rate_hz: float) -> tuple[Biquad, ...]:
    """Return Butterworth or Linkwitz-Riley sections by the bilinear transform.

    A Butterworth filter of order n has pole pairs of Q = 1/(2 cos theta_k); a
    Linkwitz-Riley filter of order 2m is a Butterworth filter of order m, twice
    (S. Linkwitz, "Active Crossover Networks for Noncoincident Drivers", JAES 24(1), 1976).
    """
    _check_below_half_rate(setting.frequency_hz, sample_rate_hz)
    if setting.slope_db_per_octave not in _PASS_ORDERS[setting.family]:
        raise InputError(
            f"no {setting.family} {what} has that slope",
            field="slope_db_per_octave",
            value=setting.slope_db_per_octave,
            allowed=", ".join(map(str, _PASS_ORDERS[setting.family])),
        )
    order = setting.slope_db_per_octave // 6
    times = 2 if setting.family == "linkwitz-riley" else 1
    warped = np.tan(np.pi * setting.frequency_hz / sample_rate_hz)
    high = what != "low-pass"
    sections = _butterworth_sections(what, order // times, warped, high=high)
    return sections * times


def _butterworth_sections(
    what: str, order: int, warped: float, *, high: bool
) -> tuple[Biquad, ...]:
    sections = []
    for index in range(order // 2):
        damping = 2 * np.sin(np.pi * (2 * index + 1) / (2 * order))
        numerator = (1.0, -2.0, 1.0) if high else (warped**2, 2 * warped**2, warped**2)
        denominator = (
            1 + damping * warped + warped**2,
            2 * (warped**2 - 1),
            1 - damping * warped + warped**2,
        )
        sections.append(_section(what, numerator, denominator))
    if order % 2:
        numerator = (1.0, -1.0, 0.0) if high else (warped, warped, 0.0)
        sections.append(_section(what, numerator, (1 + warped, warped - 1, 0.0)))
    return tuple(sections)


def _section(
    what: str,
    over: tuple[float, float, float],
    under: tuple[float, float, float],
) -> Biquad:
    return Biquad(
        what=what,
        b0=float(over[0] / under[0]),
        b1=float(over[1] / under[0]),
        b2=float(over[2] / under[0]),
        a1=float(under[1] / under[0]),
        a2=float(under[2] / under[0]),
    )


def _check_below_half_rate(frequency_hz: float, sample_rate_hz: float) -> None:
    if not 0 < frequency_hz < sample_rate_hz / 2:
        raise InputError(
            "a filter's frequency has to lie below half the sample rate",
            field="frequency_hz",
            value=frequency_hz,
            allowed=f"0 to {sample_rate_hz / 2:g} Hz",
        )
