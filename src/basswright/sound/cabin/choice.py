"""Which model of the cabin the car's data allow."""

from __future__ import annotations

from basswright.errors import InputError
from basswright.records.car import Car
from basswright.sound.cabin.meshed import meshed_cabin
from basswright.sound.cabin.model import CabinModel
from basswright.sound.cabin.outline import has_closed_boot
from basswright.sound.cabin.rear import rear_of
from basswright.sound.cabin.rectangular import rectangular_cabin
from basswright.sound.cabin.zone import PressureZone


def cabin_for(car: Car) -> CabinModel:
    """Return the best model of a car's cabin that its data allow.

    Finite elements on the outline where the readings agree with each other; else the
    modes of a rectangular cabin, or two coupled volumes where the boot is closed off.
    The model's `name` says which, its `why` the reason.

    Parameters
    ----------
    car : Car

    Returns
    -------
    CabinModel
        Frozen and picklable.
    """
    try:
        return meshed_cabin(car)
    except InputError as error:
        why = f"no outline, because {error}"
    if has_closed_boot(car.cabin):
        return PressureZone(readings=car.cabin, space=rear_of(car), why=why)
    return rectangular_cabin(car, why)
