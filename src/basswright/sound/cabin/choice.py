"""Which model of the cabin the car's data allow."""

from __future__ import annotations

import numpy as np

from basswright.errors import InputError
from basswright.records.car import Car
from basswright.sound.cabin.measured import measured_cabin
from basswright.sound.cabin.meshed import meshed_cabin
from basswright.sound.cabin.model import CabinModel, EstimatedCabin
from basswright.sound.cabin.outline import has_closed_boot
from basswright.sound.cabin.rear import rear_of
from basswright.sound.cabin.rectangular import rectangular_cabin
from basswright.sound.cabin.zone import PressureZone


def cabin_for(car: Car) -> CabinModel:
    """Return the best model of a car's cabin that its data allow.

    A measurement kept for the car, laid over the model from readings. Without one, finite
    elements on the outline where the readings agree with each other; else the modes of a
    rectangular cabin, or two coupled volumes where the boot is closed off. The model's
    `name` says which, its `why` the reason.

    Parameters
    ----------
    car : Car

    Returns
    -------
    CabinModel
        Frozen and picklable.

    Raises
    ------
    InputError
        A measurement that cannot be used.
    """
    estimate = estimated_cabin(car)
    kept = car.cabin_measurement
    if kept is None:
        return estimate
    level = np.array(kept.level_db)
    place = (kept.cone_x_m, kept.cone_y_m, kept.cone_z_m)
    if not kept.phase_deg:
        return measured_cabin(
            estimate, kept.frequency_hz, cone_m=place, level_db=level, spread_db=kept.spread_db
        )
    if len(kept.phase_deg) != len(level):
        raise InputError("not as many phases as levels", field="cabin_measurement.phase_deg")
    transfer = 10 ** (level / 20) * np.exp(1j * np.radians(kept.phase_deg))
    return measured_cabin(
        estimate, kept.frequency_hz, cone_m=place, transfer=transfer, spread_db=kept.spread_db
    )


def estimated_cabin(car: Car) -> EstimatedCabin:
    """Return the best model of a car's cabin from its readings alone."""
    try:
        return meshed_cabin(car)
    except InputError as error:
        why = f"no outline, because {error}"
    if has_closed_boot(car.cabin):
        return PressureZone(readings=car.cabin, space=rear_of(car), why=why)
    return rectangular_cabin(car, why)
