"""What measured cars of the same kind say about the cabin of a job."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from basswright.records.job import Job
from basswright.records.measured_car import MeasuredCar, kind_key, kind_of_car
from basswright.records.snapshot import Snapshot
from basswright.sound.cabin import CabinModel, cabin_for, learned_cabin

#: Where the correction is worked out: twelve an octave [Hz].
_GRID_HZ = 5.0 * 2 ** (np.arange(80) / 12)


def kin_of(job: Job, snapshot: Snapshot) -> tuple[MeasuredCar, ...]:
    """Return the measured cars of the kind of a job's car, but for the job's own.

    A car whose own cabin was measured needs no others.
    """
    if job.car.cabin_measurement is not None:
        return ()
    kind = kind_of_car(job.car)
    return tuple(
        car
        for car in snapshot.measured_cars
        if kind_key(car.kind, car.body) == kind and car.job_id != job.id
    )


def cabin_of(job: Job, cars: Sequence[MeasuredCar] = ()) -> CabinModel:
    """Return the cabin of a job, corrected by the measured cars of its kind."""
    base = cabin_for(job.car)
    if not cars:
        return base
    from basswright.proof.learn import Lesson, shift_and_spread

    lessons = [
        Lesson(
            frequency_hz=np.array(car.frequency_hz),
            deviation_db=np.array(car.deviation_db),
            spread_db=np.array(car.spread_db),
        )
        for car in cars
    ]
    knots = lessons[0].frequency_hz
    spread = np.mean(
        [np.interp(np.log(knots), np.log(one.frequency_hz), one.spread_db) for one in lessons],
        axis=0,
    )
    own = np.interp(np.log(_GRID_HZ), np.log(knots), spread)
    shift, left = shift_and_spread(_GRID_HZ, own, lessons)
    return learned_cabin(
        base,
        _GRID_HZ,
        shift_db=shift,
        spread_share=left / own,
        cones_m=[(car.cone_x_m, car.cone_y_m, car.cone_z_m) for car in cars],
        cars=len(cars),
    )
