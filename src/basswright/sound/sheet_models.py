"""From data sheets to circuit models: middle and draws."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Final

import numpy as np

from basswright.errors import InputError
from basswright.records.enclosure import Enclosure
from basswright.sound.air import REFERENCE_PA, RHO_KG_PER_M3
from basswright.sound.conditioning import conditioned, proposals, resampled
from basswright.sound.contradictions import check_sheets
from basswright.sound.figures import TRUST, linear_figures
from basswright.sound.flags import sheet_flags
from basswright.sound.grid import octave_grid
from basswright.sound.levels import flows_db
from basswright.sound.lumped import lumped
from basswright.sound.models import Array, BoxModels, joined
from basswright.sound.priors import prior
from basswright.sound.sheet import Sheets, read_sheets
from basswright.sound.sources import sources

#: Boxes that are conditioned together.
_BLOCK: Final = 500
_LEAST_PROPOSALS: Final = 64
#: Where the supplier's own low limit is looked for.
_SHEET_GRID: Final = octave_grid(12.0, 100.0)
#: Box resonance and Q that makers of closed boxes aim at (typical 42-65 Hz, 0.7-1.1:
#: from memory, common practice), and the spread of their logarithms.
_CLOSED_HZ, _CLOSED_HZ_SPREAD = 52.0, 0.17
_CLOSED_Q, _CLOSED_Q_SPREAD = 0.88, 0.18


def box_models(enclosures: Sequence[Enclosure], *, draws: int, seed: int = 0) -> BoxModels:
    """Lumped parameters of many boxes from what their data sheets say.

    Parameters
    ----------
    enclosures : sequence of Enclosure, length n
    draws : int
        d: the middle (draw 0) and d - 1 equally likely cases.
    seed : int
        Same seed, same draws; a box's draws do not depend on what else is in the list.

    Returns
    -------
    BoxModels
        Arrays of shape (n, d), in the units of their names, Q [-].

    Raises
    ------
    InputError
        No draws asked for, or figures of a sheet that contradict each other.

    Notes
    -----
    A prior over the unknowns (:func:`~basswright.sound.priors.prior`), conditioned exactly on
    every figure that is a product of powers, then weighed by low limit, loudest frequency of
    a bandpass box and what makers of closed boxes aim at.

    References
    ----------
    .. [1] As :mod:`~basswright.sound.conditioning` and
       :func:`~basswright.sound.figures.linear_figures`.
    """
    if draws < 1:
        raise InputError("too few draws", field="draws", value=draws, allowed="1 or more")
    sheets = read_sheets(enclosures)
    check_sheets(enclosures, sheets)
    parts = [
        _block(enclosures[start : start + _BLOCK], sheets.rows(start, start + _BLOCK), draws, seed)
        for start in range(0, max(len(enclosures), 1), _BLOCK)
    ]
    models = parts[0] if len(parts) == 1 else joined(parts)
    return dataclasses.replace(
        models,
        sources=sources(enclosures),
        flags=tuple(sheet_flags(enclosure) for enclosure in enclosures),
    )


def _block(enclosures: Sequence[Enclosure], sheets: Sheets, draws: int, seed: int) -> BoxModels:
    ids = [enclosure.id for enclosure in enclosures]
    mean, spread = prior(sheets)
    belief, covariance = conditioned(mean, spread, linear_figures(sheets, mean))
    count = int(2 ** np.ceil(np.log2(max(_LEAST_PROPOSALS, 4 * draws))))
    states = proposals(belief, covariance, ids=ids, count=count, seed=seed)
    models = lumped(states, sheets, ids=ids)
    level = half_space_level(models, _SHEET_GRID)
    log_weight = (
        _low_limit_weight(level, models, sheets)
        + _bandpass_weight(level, sheets)
        + _design_weight(models, sheets)
    )
    order = level[..., _SHEET_GRID.searchsorted(40.0)]
    kept = resampled(states, log_weight, count=draws - 1, order=order)
    return lumped(kept, sheets, ids=ids)


def half_space_level(models: BoxModels, frequency_hz: Array) -> Array:
    """Return the level for 1 W in the coils' resistance at 1 m in half space [dB].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : ndarray, shape (f,)
        Above 0 [Hz].

    Returns
    -------
    ndarray, shape (n, d, f)
        Sound pressure level [dB re 20 µPa].

    References
    ----------
    .. [1] IEC 60268-5 (characteristic sensitivity: 1 W, 1 m; from memory).
    .. [2] As :func:`~basswright.sound.air.half_space_transfer`.
    """
    per_volt_db = flows_db(models, frequency_hz)[0]
    per_flow_db = 20 * np.log10(RHO_KG_PER_M3 * frequency_hz / REFERENCE_PA)
    return np.asarray(per_volt_db + per_flow_db + 10 * np.log10(models.Re_ohm)[..., None])


def falls_below_hz(level_db: Array, threshold_db: Array, frequency_hz: Array) -> Array:
    """Return where a response, followed down from its peak, falls below a level [Hz].

    Parameters
    ----------
    level_db : ndarray, shape (..., f)
        Levels [dB].
    threshold_db : ndarray, shape (...)
        Level to fall below [dB].
    frequency_hz : ndarray, shape (f,)
        Rising [Hz].

    Returns
    -------
    ndarray, shape (...)
        By straight lines in dB over log frequency; the grid's lowest frequency where it does
        not fall so far [Hz].
    """
    top = level_db.argmax(axis=-1)[..., None]
    under = level_db - threshold_db[..., None]
    column = np.arange(frequency_hz.size)
    last = np.where((under < 0) & (column < top), column, -1).max(axis=-1)
    low = np.maximum(last, 0)
    a = np.take_along_axis(under, low[..., None], axis=-1)[..., 0]
    b = np.take_along_axis(under, low[..., None] + 1, axis=-1)[..., 0]
    step = np.log(frequency_hz[low + 1] / frequency_hz[low])
    between = np.where(last < 0, 0.0, -a / np.where(b == a, 1.0, b - a))
    return np.asarray(frequency_hz[low] * np.exp(between * step))


def _low_limit_weight(level: Array, models: BoxModels, sheets: Sheets) -> Array:
    bandpass = (sheets.kinds == "bandpass")[:, None]
    reference = np.where(bandpass, level.max(axis=-1), models.sensitivity_db)
    found = np.log(falls_below_hz(level, reference - 10.0, _SHEET_GRID))
    miss = (found - np.log(sheets.low_limit_hz)[:, None]) / TRUST["low_limit_hz"]
    return np.where(np.isnan(miss), 0.0, -0.5 * miss**2)


def _bandpass_weight(level: Array, sheets: Sheets) -> Array:
    """Of a bandpass box the stated sensitivity is that of its loudest frequency."""
    miss = (level.max(axis=-1) - sheets.sensitivity_db[:, None]) / (
        TRUST["sensitivity_db"] * 10 / np.log(10)
    )
    counts = (sheets.kinds == "bandpass")[:, None] & ~np.isnan(miss)
    return np.where(counts, -0.5 * miss**2, 0.0)


def _design_weight(models: BoxModels, sheets: Sheets) -> Array:
    stiffer = np.sqrt(1 + models.Vas_m3 / models.rear.volume_m3)
    hz = np.log(models.fs_hz * stiffer / _CLOSED_HZ) / _CLOSED_HZ_SPREAD
    Q = np.log(models.Qts * stiffer / _CLOSED_Q) / _CLOSED_Q_SPREAD
    closed = (sheets.kinds == "closed")[:, None]
    return np.where(closed, -0.5 * (hz**2 + Q**2), 0.0)
