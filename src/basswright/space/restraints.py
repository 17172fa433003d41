"""How strongly a box has to be held: force in a crash, and fixings that carry it.

References
----------
.. [1] UN Regulation No. 17, 6.3.1: seats and their anchorages are tested with 20 g for
   30 ms (from memory).
.. [2] ISO 898-1:2013, tables 2 and 3: property classes, and nominal stress areas of
   coarse threads.
.. [3] EN 1993-1-8:2005, table 3.4: shear resistance of a bolt, 0.6 f_ub A / 1.25 for
   classes 4.6, 5.6 and 8.8 and 0.5 f_ub A / 1.25 for 10.9.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, isfinite

from pydantic import Field

from basswright.errors import InputError
from basswright.records.base import Record

GRAVITY = 9.80665
DECELERATION_G = 20.0
DECELERATION_SOURCE = (
    "UN Regulation No. 17, 6.3.1: seats are tested with 20 g for 30 ms; a box is held no less"
)

#: Stress area of coarse metric threads [m2], ISO 898-1.
STRESS_AREA_M2 = {"M5": 14.2e-6, "M6": 20.1e-6, "M8": 36.6e-6, "M10": 58.0e-6}

#: Tensile strength [Pa] and share of it that counts in shear, per property class.
GRADES = {"4.6": (400e6, 0.6), "5.6": (500e6, 0.6), "8.8": (800e6, 0.6), "10.9": (1000e6, 0.5)}

_PARTIAL_FACTOR = 1.25
_LEAST_BOLTS = 4

CAUTION = (
    "A loose box is deadly in a crash. The sheet metal usually gives way before the bolt: use "
    "backing plates or the car's own lashing points, keep clear of tank, lines, wiring and "
    "airbags, and follow the car maker's instructions before any hole is drilled."
)


class Restraint(Record):
    """What has to hold a box, for one deceleration."""

    mass_kg: float
    deceleration_g: float
    deceleration_source: str
    force_n: float = Field(description="forwards, in a crash")
    bolt: str = Field(description="thread and property class")
    bolt_force_n: float = Field(description="what one bolt carries in shear")
    bolts: int = Field(description="how many are needed, at least four")
    tipping_force_n: float = Field(
        description="pull on the rear fixings from the height of the centre of gravity"
    )
    caution: str


def restraint(
    mass_kg: float,
    *,
    centre_height_m: float = 0.0,
    foot_length_m: float = 0.0,
    thread: str = "M8",
    grade: str = "8.8",
    deceleration_g: float = DECELERATION_G,
) -> Restraint:
    """Return the force that a box puts on its fixings in a crash, and bolts for it.

    Parameters
    ----------
    mass_kg : float
        Mass of the box with all that is mounted on it [kg].
    centre_height_m : float
        Height of its centre of gravity above the fixings [m].
    foot_length_m : float
        Length of its foot along the car [m]; with `centre_height_m` it gives the pull on
        the rear fixings as the box wants to tip.
    thread, grade : str
        Keys of :data:`STRESS_AREA_M2` and :data:`GRADES`.
    deceleration_g : float
        In multiples of 9.80665 m/s2.

    Returns
    -------
    Restraint

    Raises
    ------
    InputError
        For a mass or deceleration that is not positive, or an unknown thread or grade.

    Notes
    -----
    ``F = m a``; a bolt carries ``F_v = alpha f_ub A_s / 1.25`` in shear [3]_ and, beside
    that, the pull ``F_t = F h / l`` of tipping is shared by the rear half of the bolts:
    ``F_v,Ed / F_v + F_t,Ed / (1.4 F_t) <= 1`` with ``F_t = 0.9 f_ub A_s / 1.25``.
    """
    _require(mass_kg, "mass", "more than 0 kg")
    _require(deceleration_g, "deceleration", "more than 0 g")
    if thread not in STRESS_AREA_M2:
        raise _unknown("thread", thread, STRESS_AREA_M2)
    if grade not in GRADES:
        raise _unknown("grade", grade, GRADES)
    strength, share = GRADES[grade]
    force = mass_kg * deceleration_g * GRAVITY
    shear = share * strength * STRESS_AREA_M2[thread] / _PARTIAL_FACTOR
    pull = 0.9 * strength * STRESS_AREA_M2[thread] / _PARTIAL_FACTOR
    tipping = force * centre_height_m / foot_length_m if foot_length_m > 0 else 0.0
    needed = force / shear + 2 * tipping / (1.4 * pull)
    return Restraint(
        mass_kg=mass_kg,
        deceleration_g=deceleration_g,
        deceleration_source=(
            DECELERATION_SOURCE if deceleration_g == DECELERATION_G else "chosen by the workshop"
        ),
        force_n=force,
        bolt=f"{thread} class {grade}",
        bolt_force_n=shear,
        bolts=max(_LEAST_BOLTS, 2 * ceil(needed / 2 - 1e-9)),
        tipping_force_n=tipping,
        caution=CAUTION,
    )


def _require(value: float, field: str, allowed: str) -> None:
    if not (isfinite(value) and value > 0):
        raise InputError("cannot be used", field=field, value=value, allowed=allowed)


def _unknown(field: str, value: str, known: Iterable[str]) -> InputError:
    return InputError(
        "not one that is known here", field=field, value=value, allowed=", ".join(known)
    )
