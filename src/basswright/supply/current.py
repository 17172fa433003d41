"""What current an amplifier draws: with a sine at full power, and with programme."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Long-term programme power over full sine power that a supply is planned for: one
#: third, the preconditioning of the U.S. FTC amplifier rule of 1975. Loud, compressed
#: bass; crest factor 7.8 dB.
PROGRAMME_DUTY_SHARE: Final = 1 / 3
#: The loudest seconds of such programme: crest factor 6 dB (common practice, no source).
#: `currents` with this duty gives the short-term current, between average and peak.
SHORT_TERM_DUTY_SHARE: Final = 0.5
#: Part of a class-D amplifier's loss at full power that does not fall with the level;
#: it leaves the whole amplifier about a third less efficient at 1/8 power (common
#: practice, no source).
FIXED_LOSS_SHARE: Final = 0.3
_MEAN_OF_SINE: Final = 2 * np.sqrt(2) / np.pi
_MEAN_OF_NOISE: Final = np.sqrt(2 / np.pi)


def duty_share(crest_factor_db: ArrayLike) -> NDArray[np.float64]:
    """Return programme power over the power of a sine with the same peak [-].

    Parameters
    ----------
    crest_factor_db : array_like
        Peak over RMS of the programme, 3.01 or more [dB].

    Returns
    -------
    ndarray, shape of `crest_factor_db`
        10^(-(CF - 3.01)/10): 12 dB gives 1/8, 9 dB 1/4, 6 dB 1/2, a sine (3.01 dB) 1 [-].

    References
    ----------
    .. [1] IEC 60268-1, Sound system equipment, General (crest factor as peak over RMS).
    """
    crest = np.asarray(crest_factor_db, dtype=float)
    return np.asarray(10 ** (-(crest - 20 * np.log10(np.sqrt(2))) / 10))


def draw_share(
    duty: ArrayLike, efficiency_share: ArrayLike, linear_stage: ArrayLike = False
) -> NDArray[np.float64]:
    """Return average supply power with programme, over supply power with a full sine [-].

    Parameters
    ----------
    duty : array_like
        Programme power over full sine power, 0 to 1 [-].
    efficiency_share : array_like
        Whole amplifier at full power, above 0, at most 1 [-].
    linear_stage : array_like of bool
        True for class AB, G and H.

    Returns
    -------
    ndarray, broadcast of all three
        0 to 1 [-].

    Notes
    -----
    Class D: loss = fixed + conduction, the second in step with power; so the draw is
    eta (d + (1/eta - 1)(f + (1 - f) d)), f = 0.3 the fixed share of the loss (common
    practice, no source). Class AB draws in step with the mean of the rectified signal:
    sqrt(d) times the mean over RMS of noise, sqrt(2/pi) = 0.798, over that of a sine,
    2 sqrt(2)/pi = 0.900, and never less than it gives.

    References
    ----------
    .. [1] D. Self, Audio Power Amplifier Design (dissipation of class B with sine and with
       musical signals; from memory).
    """
    d = np.asarray(duty, dtype=float)
    eta = np.asarray(efficiency_share, dtype=float)
    switching = eta * d + (1 - eta) * (FIXED_LOSS_SHARE + (1 - FIXED_LOSS_SHARE) * d)
    noise_like = np.sqrt(d) * _MEAN_OF_NOISE / _MEAN_OF_SINE
    linear = np.where(d >= 1.0, 1.0, np.maximum(noise_like, eta * d))
    return np.asarray(np.where(np.asarray(linear_stage, dtype=bool), linear, switching))


def currents(
    power_w: ArrayLike,
    efficiency_share: ArrayLike,
    supply_voltage_v: float,
    *,
    linear_stage: ArrayLike = False,
    idle_current_a: ArrayLike = 0.0,
    programme_duty_share: float = PROGRAMME_DUTY_SHARE,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the peak and the average current that an amplifier draws [A].

    Parameters
    ----------
    power_w : array_like
        Audio power with the gain set, RMS [W].
    efficiency_share : array_like
        Whole amplifier at full power, above 0, at most 1 [-].
    supply_voltage_v : float
        Supply at the amplifier, above 0 [V].
    linear_stage : array_like of bool
        True for class AB, G and H.
    idle_current_a : array_like
        Draw without a signal [A]; the average is never less.
    programme_duty_share : float
        Long-term programme power over full sine power [-].

    Returns
    -------
    peak_a, average_a : ndarray, broadcast of all
        Sine at the power used, I = P/(eta V), and programme [A]; the peak is never
        less than the average.

    References
    ----------
    .. [1] 16 CFR part 432, Power output claims for amplifiers utilized in home entertainment
       products (United States; preconditioning at one third of rated power).
    """
    power, eta = np.asarray(power_w, dtype=float), np.asarray(efficiency_share, dtype=float)
    idle = np.asarray(idle_current_a, dtype=float)
    sine = power / (eta * supply_voltage_v)
    average = np.maximum(sine * draw_share(programme_duty_share, eta, linear_stage), idle)
    return np.maximum(sine, average), np.asarray(average)


def constant_power_current_a(
    power_w: ArrayLike, source_voltage_v: ArrayLike, loop_ohm: ArrayLike
) -> NDArray[np.float64]:
    """Return the current of a load that takes the same power at any voltage [A].

    Parameters
    ----------
    power_w : array_like
        Power that the load takes [W].
    source_voltage_v : array_like
        Open voltage of the source, above 0 [V].
    loop_ohm : array_like
        Resistance on the way to the load and back, 0 or more [ohm].

    Returns
    -------
    ndarray, broadcast of all three
        Current [A].

    Notes
    -----
    I = (V - sqrt(V^2 - 4 R P)) / (2 R), P the power at the load, written so that R may be
    zero. Beyond P = V^2 / 4R there is no solution: the supply collapses, and the current at
    that limit, V / 2R, is returned.

    References
    ----------
    .. [1] T. Van Cutsem and C. Vournas, Voltage Stability of Electric Power Systems, Kluwer,
       1998, chapter 2 (maximum deliverable power; chapter from memory).
    """
    V, R = np.asarray(source_voltage_v, dtype=float), np.asarray(loop_ohm, dtype=float)
    P = np.asarray(power_w, dtype=float)
    root = np.sqrt(np.maximum(V**2 - 4 * R * P, 0.0))
    return np.asarray(2 * np.minimum(P, V**2 / (4 * np.maximum(R, 1e-12))) / (V + root))


def heat_w(
    power_w: ArrayLike,
    efficiency_share: ArrayLike,
    *,
    programme_duty_share: float = PROGRAMME_DUTY_SHARE,
    linear_stage: ArrayLike = False,
) -> NDArray[np.float64]:
    """Return the heat that an amplifier gives off with programme [W].

    Parameters
    ----------
    power_w : array_like
        Audio power with the gain set, RMS [W].
    efficiency_share : array_like
        Whole amplifier at full power, above 0, at most 1 [-].
    programme_duty_share : float
        Long-term programme power over full sine power [-].
    linear_stage : array_like of bool
        True for class AB, G and H.

    Returns
    -------
    ndarray, broadcast of all
        Drawn power less audio power, 0 or more [W].

    Notes
    -----
    P/eta times :func:`draw_share`, less P d.

    References
    ----------
    .. [1] As :func:`draw_share`.
    """
    power, eta = np.asarray(power_w, dtype=float), np.asarray(efficiency_share, dtype=float)
    drawn = power / eta * draw_share(programme_duty_share, eta, linear_stage)
    return np.asarray(np.maximum(drawn - power * programme_duty_share, 0.0))
