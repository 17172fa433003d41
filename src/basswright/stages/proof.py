"""The stage Proof: measure, hold against the promise, keep what the car teaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from basswright import proof as proving
from basswright.errors import InputError
from basswright.proof.plant import Change
from basswright.records.cabin import CabinMeasurement
from basswright.records.measured_car import MeasuredCar
from basswright.records.measurement import Calibration, Measurement, Proof, Sweep
from basswright.sound.filters import chain_response
from basswright.stages.kin import cabin_of
from basswright.stages.system import System, predicted

#: What is unsure about a measured cabin: the box's own flow, and the microphone [dB].
_CABIN_SPREAD_DB = 1.2
_REFERENCE_PA = 20e-6


@dataclass(frozen=True, kw_only=True)
class Listening:
    """How recordings are to be read: which sweep was played, through which microphone."""

    sweep: Sweep = field(default_factory=Sweep)
    calibration: Calibration | None = None
    channel: int | None = None


def listening(
    sweep: Sweep | None = None,
    *,
    calibration: Path | None = None,
    level_at_full_scale_db: float | None = None,
    channel: int | None = None,
) -> Listening:
    """Return how recordings are to be read.

    Parameters
    ----------
    sweep : Sweep, optional
    calibration : Path, optional
        The microphone's calibration file.
    level_at_full_scale_db : float, optional
        Level of a sine that just fills the recording; alone it stands for a microphone
        that is flat.
    channel : int, optional
        Which channel holds the microphone, 1 the first.

    Raises
    ------
    InputError, InputErrors
        A calibration that cannot be read, a channel below 1.
    """
    if channel is not None and channel < 1:
        raise InputError("channels count from 1", field="channel", value=channel)
    microphone = None
    if calibration is not None:
        microphone = proving.read_calibration(
            calibration, level_at_full_scale_db=level_at_full_scale_db
        )
    elif level_at_full_scale_db is not None:
        microphone = Calibration(
            frequency_hz=np.array([1.0, 20000.0]),
            correction_db=np.zeros(2),
            level_at_full_scale_db=level_at_full_scale_db,
        )
    return Listening(
        sweep=sweep or Sweep(),
        calibration=microphone,
        channel=None if channel is None else channel - 1,
    )


def measure(
    recordings: Sequence[Path], how: Listening | None = None, *, seats: Sequence[str] = ()
) -> Measurement:
    """Return what recordings of the sweep show, averaged over the seats.

    Parameters
    ----------
    recordings : sequence of Path
        One for each seat.
    how : Listening, optional
    seats : sequence of str
        Names of the seats; "driver", "seat 2" ... otherwise.

    Raises
    ------
    InputError
        A recording that cannot be used, or more seats than recordings.
    """
    read = how or Listening()
    if not recordings:
        raise InputError("no recording", allowed="one or several sound files")
    if seats and len(seats) != len(recordings):
        raise InputError(
            "not as many seats as recordings", field="seats", value=len(seats), allowed="one each"
        )
    names = list(seats) or ["driver", *(f"seat {n}" for n in range(2, len(recordings) + 1))]
    found = [
        proving.analyse(
            proving.read_recording(path),
            read.sweep,
            calibration=read.calibration,
            seat=name,
            channel=read.channel,
        )
        for path, name in zip(recordings, names, strict=True)
    ]
    return found[0] if len(found) == 1 else proving.average(found)


def prove(system: System, measured: Measurement, evidence: proving.Evidence | None = None) -> Proof:
    """Hold a measurement against the promise of a system, with the likely causes.

    Raises
    ------
    InputError
        A measurement that is not usable.
    """
    plant = proving.installed(system.job, system.option)
    return proving.compare(measured, system.prediction, plant=plant, evidence=evidence)


def prove_again(
    system: System | None,
    now: Measurement,
    earlier: Measurement,
    *,
    evidence: proving.Evidence | None = None,
) -> Proof:
    """Hold a car against its own earlier measurement; with a system, with the causes."""
    plant = None if system is None else proving.installed(system.job, system.option)
    return proving.compare_with_earlier(now, earlier, plant=plant, evidence=evidence)


def set_up_tone_v(system: System) -> float:
    """Return what a meter shows at the terminals with the set-up tone, as planned [V]."""
    from basswright import tuning
    from basswright.tuning.setting import gain_setting

    request = tuning.request_for(system.job, system.option)
    planned = gain_setting(
        request.gain_voltage_v, tone_hz=request.tone_hz, tone_level_dbfs=request.tone_level_dbfs
    )
    return planned.tone_voltage_v


def lesson_of(system: System, measured: Measurement, *, note: str = "") -> MeasuredCar:
    """Return what a measured system teaches about cars of its kind.

    It is held against the models alone, without what other cars have taught.

    Raises
    ------
    InputError
        The microphone's level is not known, or the recording is not usable.
    """
    job, option = system.job, system.option
    car = job.car.model_copy(update={"cabin_measurement": None})
    plain = job.model_copy(update={"car": car})
    found = proving.lesson(measured, predicted(plain, option, cabin_of(plain)))
    x, y, z = option.placement.cone
    return MeasuredCar(
        kind=job.car.name,
        body=job.car.body,
        job_id=job.id,
        frequency_hz=tuple(found.frequency_hz.tolist()),
        deviation_db=tuple(found.deviation_db.tolist()),
        spread_db=tuple(np.maximum(found.spread_db, 0.3).tolist()),
        cone_x_m=x,
        cone_y_m=y,
        cone_z_m=z,
        note=note[:200],
    )


def cabin_of_measurement(system: System, measured: Measurement) -> CabinMeasurement:
    """Return the measured cabin: the level at the ear less what the box gives.

    Kept in a job's car it makes the prediction for another box in this very car surer.

    Raises
    ------
    InputError
        The microphone's level is not known, or the recording is not usable.
    """
    if not measured.absolute or not measured.usable:
        raise InputError(
            "a cabin is known only from a usable recording of known level", item="measurement"
        )
    job, option = system.job, system.option
    plant = proving.installed(job, option, draws=1)
    grid = plant.frequency_hz
    inside = (grid >= measured.frequency_hz[0]) & (grid <= measured.frequency_hz[-1])
    grid = grid[inside]
    volts = option.match.gain_voltage_v * np.abs(
        chain_response(grid, lowpass_hz=job.wish.crossover_hz)
    )
    flow = np.abs(plant.flow(Change())[inside]) * volts
    heard = np.interp(np.log(grid), np.log(measured.frequency_hz), measured.level_db)
    level = heard + 20 * np.log10(_REFERENCE_PA / flow)
    x, y, z = option.placement.cone
    return CabinMeasurement(
        frequency_hz=tuple(grid.tolist()),
        level_db=tuple(level.tolist()),
        spread_db=_CABIN_SPREAD_DB,
        cone_x_m=x,
        cone_y_m=y,
        cone_z_m=z,
    )
