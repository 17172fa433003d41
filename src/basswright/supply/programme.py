"""What an amplifier asks of the supply over time: bursts, an invented piece, a track."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.supply.current import FIXED_LOSS_SHARE

#: Step of every demand and of the simulation [s].
STEP_S: Final = 0.5e-3
#: Over this time the stores inside an amplifier even out its draw [s] (common practice).
INNER_STORE_S: Final = 0.02


def bursts(
    duration_s: float, *, on_s: float = 0.1, period_s: float = 0.5, rise_s: float = 2e-3
) -> NDArray[np.float64]:
    """Return full-power bursts as a share of sine power [-].

    Parameters
    ----------
    duration_s, on_s, period_s : float
        Length of the whole, of a burst, and from one burst to the next [s].
    rise_s : float
        Time in which a burst rises and falls [s].

    Returns
    -------
    ndarray, shape (t,)
        0 to 1 in steps of 0.5 ms [-]; each period ends with its burst.
    """
    time = np.arange(round(duration_s / STEP_S)) * STEP_S % period_s
    start = period_s - on_s - 2 * rise_s
    rise = np.clip((time - start) / rise_s, 0.0, 1.0)
    fall = np.clip((period_s - rise_s - time) / rise_s + 1e-9, 0.0, 1.0)
    return np.asarray(np.minimum(rise, fall + (time < start)))


def invented_piece(
    duration_s: float, *, duty_share: float = 1 / 3, seed: int = 1
) -> NDArray[np.float64]:
    """Return an invented bass programme as a share of sine power [-].

    A beat of two a second with a random strength, over a sustained part that comes and
    goes in phrases of eight seconds; its mean is the duty asked for.

    Parameters
    ----------
    duration_s : float
        [s]
    duty_share : float
        Mean power over full sine power, above 0, below 1 [-].
    seed : int
        The same seed gives the same piece.

    Returns
    -------
    ndarray, shape (t,)
        0 to 1 in steps of 0.5 ms [-].
    """
    count = round(duration_s / STEP_S)
    time = np.arange(count) * STEP_S
    rng = np.random.default_rng(seed)
    beat = rng.uniform(0.4, 1.0, count // 1000 + 2)[(time / 0.5).astype(int)]
    strike = beat * np.exp(-(time % 0.5) / 0.15)
    phrase = rng.uniform(0.0, 1.0, count // 16000 + 2)[(time / 8.0).astype(int)]
    share = np.clip(np.maximum(strike, 0.8 * phrase), 0.0, 1.0)
    low, high = 0.0, 50.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        too_loud = float(np.mean(np.minimum(1.0, middle * share))) > duty_share
        low, high = (low, middle) if too_loud else (middle, high)
    return np.asarray(np.minimum(1.0, low * share))


def track_share(
    samples: ArrayLike, sample_rate_hz: float, *, low_pass_hz: float = 80.0
) -> NDArray[np.float64]:
    """Return the bass power of a recording as a share of a full-scale sine's [-].

    Parameters
    ----------
    samples : array_like, shape (n,) or (n, channels)
        Full scale is 1; channels are averaged (mono sum).
    sample_rate_hz : float
        At least 4000 [Hz].
    low_pass_hz : float
        Fourth-order Linkwitz-Riley towards the bass box [Hz].

    Returns
    -------
    ndarray, shape (t,)
        In steps of 0.5 ms, evened out over 20 ms as an amplifier's own stores do (common
        practice, no source); at most 2, a full-scale square wave [-].

    Raises
    ------
    InputError
        No samples, some that are not finite, or a rate below 4000 Hz.

    Notes
    -----
    2 x(t)^2, so that a full-scale sine has a mean of 1.

    References
    ----------
    .. [1] S. H. Linkwitz, "Active crossover networks for noncoincident drivers", JAES 24(1),
       1976, pp. 2-8.
    """
    from basswright.supply.filter_kernel import low_pass

    wave = np.asarray(samples, dtype=float)
    if wave.ndim == 2:
        wave = wave.mean(axis=1)
    if wave.ndim != 1 or wave.size == 0 or not np.all(np.isfinite(wave)):
        raise InputError("no usable samples", field="samples", allowed="finite numbers, 1-D or 2-D")
    if sample_rate_hz < 4000:
        raise InputError("sample rate too low", field="sample_rate_hz", value=sample_rate_hz)
    thin = max(1, int(sample_rate_hz * STEP_S))
    whole = wave.size // thin * thin
    thinned = wave[:whole].reshape(-1, thin).mean(axis=1) if whole else wave[:1]
    rate = sample_rate_hz / thin
    bass = low_pass(thinned, float(np.tan(np.pi * low_pass_hz / rate)))
    power = np.minimum(2.0 * bass**2, 2.0)
    even = _evened(power, max(1, round(INNER_STORE_S * rate)))
    time = np.arange(max(1, int(even.size / rate / STEP_S))) * STEP_S
    return np.asarray(np.interp(time, np.arange(even.size) / rate, even))


def demand_w(
    share: ArrayLike, power_w: float, efficiency_share: float, *, idle_w: float = 0.0
) -> NDArray[np.float64]:
    """Return the power that the amplifier asks of the supply [W].

    Parameters
    ----------
    share : array_like
        Audio power over that of a sine at the power used [-].
    power_w : float
        Power used, RMS [W].
    efficiency_share : float
        Whole amplifier at full power, above 0, at most 1 [-].
    idle_w : float
        Draw without a signal, the least that is asked [W].

    Returns
    -------
    ndarray, shape of `share`
        P s (1 + (1 - f)(1/eta - 1)) + f (1/eta - 1) P, the last only while it plays [W].

    Notes
    -----
    Class D: what it gives, the loss that goes with it and the fixed loss
    (:func:`basswright.supply.draw_share`); used for every class, as the stores inside
    follow the envelope and not the wave.

    References
    ----------
    .. [1] Energy balance; the split of the loss, f = 0.3, is common practice, no source.
    """
    wanted = np.asarray(share, dtype=float) * power_w
    loss = 1 / efficiency_share - 1
    fixed = np.where(wanted > 0, FIXED_LOSS_SHARE * loss * power_w, 0.0)
    return np.asarray(np.maximum(wanted * (1 + (1 - FIXED_LOSS_SHARE) * loss) + fixed, idle_w))


def _evened(power: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the running mean over a number of samples, the past ones."""
    sums = np.cumsum(np.concatenate([np.zeros(1), power]))
    begin = np.maximum(np.arange(power.size) + 1 - width, 0)
    return np.asarray((sums[1:] - sums[begin]) / width)
