"""What one system does at the ear, with its bands."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.levels import LevelTable
from basswright.records.system import Prediction
from basswright.sound.air import REFERENCE_PA, half_space_transfer
from basswright.sound.bands import band
from basswright.sound.flags import flags_of
from basswright.sound.goals import low_limit
from basswright.sound.levels import level_table
from basswright.sound.models import Array, BoxModels
from basswright.sound.response import Response, respond

AMPLIFIER_LIMITS: Final = ("amplifier voltage", "amplifier current")


def predict(
    models: BoxModels,
    transfer: ArrayLike,
    frequency_hz: ArrayLike,
    *,
    voltage_v: float,
    current_a: float,
    lowpass_hz: float | None,
    infrasonic_hz: float | None,
    cabin_model: str,
) -> Prediction:
    """Predict what one box with one amplifier gives at the ear.

    Parameters
    ----------
    models : BoxModels
        One box (n = 1) in d draws.
    transfer : array of complex, broadcast against (1, d, f)
        Pressure at the ear per volume velocity [Pa s/m3], with its own draws if any.
    frequency_hz : array, shape (f,)
    voltage_v, current_a : float
        Highest RMS voltage (the gain as set) and current of the amplifier.
    lowpass_hz, infrasonic_hz : float or None
    cabin_model : str
        Which cabin the transfer comes from, and why.

    Returns
    -------
    Prediction
        Middle from draw 0, bands from all others. A low limit equal to the lowest
        frequency of the grid lies there or below.

    Raises
    ------
    InputError
        More than one box, or an amplifier that gives nothing.
    """
    _check(models, voltage_v, current_a)
    table = level_table(
        models, frequency_hz, transfer, lowpass_hz=lowpass_hz, infrasonic_hz=infrasonic_hz
    )
    level = table.per_volt_db[0] + 20 * np.log10(voltage_v)
    loudest, which = loudest_of(table, voltage_v=voltage_v, current_a=current_a)
    answer = respond(models.take([0], [0]), table.frequency_hz)
    volts = _terminal_voltage(loudest[0, 0], table, answer, transfer)
    low, high = band(level)
    quiet, loud = band(loudest[0])
    return Prediction(
        frequency_hz=table.frequency_hz,
        level_db=level[0],
        level_low_db=low,
        level_high_db=high,
        loudest_db=loudest[0, 0],
        loudest_low_db=quiet,
        loudest_high_db=loud,
        limit_index=which[0, 0],
        limits=AMPLIFIER_LIMITS + table.own_limits,
        excursion_m=np.sqrt(2) * np.abs(answer.cone_m[0, 0]) * volts,
        port_speed_m_per_s=np.sqrt(2) * _port_speed(models, answer) * volts,
        impedance_ohm=answer.impedance_ohm[0, 0],
        group_delay_s=answer.group_delay_s[0, 0],
        cabin_gain_db=_cabin_gain(transfer, table),
        cabin_model=cabin_model,
        low_limit_3db_hz=_low_limits(level, table.frequency_hz, 3.0),
        low_limit_10db_hz=_low_limits(level, table.frequency_hz, 10.0),
        flags=flags_of(models, table.frequency_hz),
    )


def loudest_of(
    table: LevelTable, *, voltage_v: ArrayLike, current_a: ArrayLike
) -> tuple[Array, NDArray[np.intp]]:
    """Highest clean level and what decides: amplifier voltage, current, or `own_limits`.

    Parameters
    ----------
    table : LevelTable
        n boxes, d draws, f frequencies.
    voltage_v, current_a : array, broadcast against (n, d, f)

    Returns
    -------
    tuple of ndarray, each of shape (n, d, f)
        Level [dB], and index into `AMPLIFIER_LIMITS` followed by the table's own.
    """
    by_voltage = table.per_volt_db + 20 * np.log10(voltage_v)
    by_current = table.per_volt_db + 20 * np.log10(np.asarray(current_a) * table.impedance_ohm)
    amplifier = np.minimum(by_voltage, by_current)
    own = table.own_limit_db < amplifier
    which = np.where(own, table.own_limit_index + 2, (by_current < by_voltage).astype(int))
    return np.minimum(amplifier, table.own_limit_db), which


def _check(models: BoxModels, voltage_v: float, current_a: float) -> None:
    if models.shape[0] != 1:
        raise InputError(
            "a prediction is for one box", field="models", value=models.shape[0], allowed="1"
        )
    for name, value in (("voltage_v", voltage_v), ("current_a", current_a)):
        if not (np.isfinite(value) and value > 0):
            raise InputError("the amplifier gives nothing", field=name, value=value)


def _terminal_voltage(
    loudest_db: Array, table: LevelTable, answer: Response, transfer: ArrayLike
) -> Array:
    """RMS volts at the terminals at the highest clean level, middle case."""
    shape = table.per_volt_db.shape
    gain = np.broadcast_to(np.asarray(transfer), shape)[0, 0]
    per_volt = np.abs(answer.flow_m3_per_s[0, 0] * gain) / REFERENCE_PA
    return np.asarray(10 ** (loudest_db / 20) / per_volt)


def _port_speed(models: BoxModels, answer: Response) -> Array:
    """Greatest speed through a port for one volt; radiators have no air speed."""
    rear = np.abs(answer.vent_m_per_s[0, 0])
    front = np.abs(answer.front_vent_m_per_s[0, 0])
    is_port = models.rear.vent_stiffness_per_s2[0, 0] == 0
    return np.asarray(np.maximum(rear if is_port else 0.0 * rear, front))


def _cabin_gain(transfer: ArrayLike, table: LevelTable) -> Array:
    gain = np.broadcast_to(np.asarray(transfer), table.per_volt_db.shape)[0, 0]
    return np.asarray(20 * np.log10(np.abs(gain / half_space_transfer(table.frequency_hz))))


def _low_limits(level: Array, grid: Array, down_db: float) -> tuple[float, float, float]:
    limits = low_limit(level, grid, down_db).frequency_hz
    low, high = band(limits[:, None])
    return float(low[0]), float(limits[0]), float(high[0])
