"""How hot the coils get, how fast, and what level that costs.

Two bodies in a row: the coils, heated by I^2 Re and cooled into the magnet, and the
magnet, cooled by the air. Copper gains 0.393 % of its resistance a kelvin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.sound.copper import COPPER_PER_K
from basswright.sound.grid import checked_grid
from basswright.sound.models import Array, BoxModels
from basswright.sound.network import Complex, solve

#: Highest rise that is looked for [K]; insulation fails long before.
_HIGHEST_K: Final = 2000.0
_HALVINGS: Final = 48


@dataclass(frozen=True, kw_only=True)
class Warming:
    """Coils that warm up while a tone plays, shape (n, d, t).

    Attributes
    ----------
    time_s : ndarray, shape (t,)
        From the start [s].
    coil_k, magnet_k : ndarray
        Rise over the start [K].
    compression_db : ndarray
        Level lost against the cold coil [dB].
    """

    time_s: Array
    coil_k: Array
    magnet_k: Array
    compression_db: Array


def heated(models: BoxModels, rise_k: ArrayLike) -> BoxModels:
    """Return the same boxes with warmer coils.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws, at 20 °C.
    rise_k : array_like, broadcast against (n, d)
        How much warmer [K].

    Returns
    -------
    BoxModels
        Re (1 + 0.00393 rise) [ohm].

    References
    ----------
    .. [1] IEC 60028, International standard of resistance for copper, 1925.
    """
    factor = 1 + COPPER_PER_K * np.asarray(rise_k, dtype=float)
    return replace(models, Re_ohm=models.Re_ohm * factor)


def compression_db(models: BoxModels, frequency_hz: ArrayLike, rise_k: ArrayLike) -> Array:
    """Return the level lost at a given voltage when the coils are warmer [dB].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array_like, shape (f,)
        Rising [Hz].
    rise_k : array_like, broadcast against (n, d, f)
        How much warmer [K].

    Returns
    -------
    ndarray, shape (n, d, f)
        20 log10 |(Z + dR)/Z| [dB].

    Raises
    ------
    InputError
        Frequencies that cannot be used.

    Notes
    -----
    The loss is not flat: near the box resonance the motional impedance is far above the
    coil's, and a warmer coil costs little there.

    References
    ----------
    .. [1] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41.
    """
    grid = checked_grid(frequency_hz)
    cold = _impedance(models, grid)
    extra = COPPER_PER_K * np.asarray(rise_k, dtype=float) * models.Re_ohm[..., None]
    return np.asarray(20 * np.log10(np.abs((cold + extra) / cold)))


def settled_rise_k(
    models: BoxModels, frequency_hz: ArrayLike, voltage_v: ArrayLike, *, duty: float = 1.0
) -> Array:
    """Return the rise of the coils in the end, while a tone or a programme plays [K].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array_like, shape (f,)
        Rising [Hz].
    voltage_v : array_like, broadcast against (n, d, f)
        RMS voltage of the full tone at the terminals [V].
    duty : float
        Long-term share of the tone's power: 1 for the tone itself, 0.05 to 0.3 for
        music (common practice, no source) [-].

    Returns
    -------
    ndarray, shape (n, d, f)
        Balance of the heat made, which falls as the resistance grows, and carried off; looked
        for up to 2000 [K].

    Raises
    ------
    InputError
        Frequencies that cannot be used, or a duty that is not above 0 and at most 1.

    References
    ----------
    .. [1] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41.
    """
    grid = checked_grid(frequency_hz)
    if not 0 < duty <= 1:
        raise InputError("not a share", field="duty", value=duty, allowed="above 0, at most 1")
    cold = _impedance(models, grid)
    volts2 = duty * np.asarray(voltage_v, dtype=float) ** 2
    total_k_per_w = (models.coil_k_per_w + models.magnet_k_per_w)[..., None]
    low, high = np.zeros(cold.shape), np.full(cold.shape, _HIGHEST_K)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        rises = total_k_per_w * _heat_w(models, cold, volts2, middle) > middle
        low, high = np.where(rises, middle, low), np.where(rises, high, middle)
    return np.asarray((low + high) / 2)


def warm_up(
    models: BoxModels, frequency_hz: float, voltage_v: float, *, time_s: ArrayLike
) -> Warming:
    """Follow the coils of each box while one tone plays.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz, voltage_v : float
        The tone [Hz], RMS at the terminals [V].
    time_s : array_like, shape (t,)
        Rising times from the start; between two of them the heat counts as constant [s].

    Returns
    -------
    Warming
        Arrays of shape (n, d, t).

    Raises
    ------
    InputError
        Times that do not rise from above zero.

    Notes
    -----
    Each step is solved exactly (eigenvalues of the 2 x 2 system).

    References
    ----------
    .. [1] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41.
    """
    time = np.asarray(time_s, dtype=float)
    if time.ndim != 1 or not (time.size and time[0] > 0 and np.all(np.diff(time) > 0)):
        raise InputError("times do not rise from the start", field="time_s")
    grid = checked_grid([frequency_hz])
    cold = _impedance(models, grid)
    rise = np.zeros((*models.shape, 2))
    history = []
    for step in np.diff(time, prepend=0.0):
        heat = _heat_w(models, cold, np.asarray(voltage_v**2), rise[..., :1])[..., 0]
        rise = _advanced(models, rise, heat, step)
        history.append(rise)
    rises = np.stack(history, axis=-1)
    extra = COPPER_PER_K * rises[..., 0, :] * models.Re_ohm[..., None]
    loss = 20 * np.log10(np.abs((cold + extra) / cold))
    return Warming(
        time_s=time, coil_k=rises[..., 0, :], magnet_k=rises[..., 1, :], compression_db=loss
    )


def _impedance(models: BoxModels, grid: Array) -> Complex:
    return solve(models, np.asarray(2j * np.pi * grid, dtype=np.complex128)).impedance_ohm


def _heat_w(models: BoxModels, cold: Complex, volts2: Array, rise_k: Array) -> Array:
    """Power turned into heat in the coils at a given rise, I^2 Re."""
    Re = models.Re_ohm[..., None]
    extra = COPPER_PER_K * rise_k * Re
    return np.asarray(volts2 * (Re + extra) / np.abs(cold + extra) ** 2)


def _advanced(models: BoxModels, rise: Array, heat_w: Array, step_s: float) -> Array:
    """Let both bodies move towards their balance for one step, exactly (2 x 2 system)."""
    a = 1 / (models.coil_k_per_w * models.coil_j_per_k)
    b = 1 / (models.coil_k_per_w * models.magnet_j_per_k)
    c = 1 / (models.magnet_k_per_w * models.magnet_j_per_k)
    balance = np.stack(
        ((models.coil_k_per_w + models.magnet_k_per_w) * heat_w, models.magnet_k_per_w * heat_w),
        axis=-1,
    )
    middle, spread = (a + b + c) / 2, np.sqrt(((a - b - c) / 2) ** 2 + a * b)
    fast, slow = np.exp(-(middle + spread) * step_s), np.exp(-(middle - spread) * step_s)
    mean = (fast + slow) / 2
    odd = (slow - fast) / (2 * spread)
    off = rise - balance
    coil = mean * off[..., 0] + odd * ((middle - a) * off[..., 0] + a * off[..., 1])
    magnet = mean * off[..., 1] + odd * (b * off[..., 0] + (middle - b - c) * off[..., 1])
    return np.asarray(balance + np.stack((coil, magnet), axis=-1))
