"""How far a verdict can be trusted, and which reading would settle it.

Every reading may be off by the tape's tolerance. Each is moved by it, one at a time; the
shifts of the margin are added where they hurt (worst case) and where they help.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from pydantic import Field, ValidationError

from basswright.errors import InputErrors
from basswright.quantities import name_without_unit
from basswright.records.base import Record
from basswright.records.enclosure import Enclosure
from basswright.records.space import LoadSpace
from basswright.space.boxes import BoxTable, box_table
from basswright.space.fit import fit
from basswright.space.templates import solid

#: How far a reading of an angle may be off (common practice, no source).
ANGLE_DEG = 1.0

_NOT_READINGS = {"tolerance_m"}


class Influence(Record):
    """What one reading does to the margin when it is off by its tolerance."""

    reading: str = Field(description="name of the reading, as a job file spells it")
    change_mm: float = Field(ge=0, description="largest change of the margin")


class Doubt(Record):
    """A verdict with what the tape's tolerance does to it."""

    verdict: Literal["goes in", "does not go in", "too close to call"]
    margin_mm: float
    least_mm: float = Field(description="margin with every reading off for the worse")
    most_mm: float = Field(description="margin with every reading off for the better")
    influences: tuple[Influence, ...] = Field(description="the strongest first")
    measure_again: str = Field(description="the reading that would settle it; empty if sure")


def doubt(load_space: LoadSpace, enclosure: Enclosure, *, clearance_m: float) -> Doubt:
    """Say how sure a verdict on one box is, and which reading to take again.

    Parameters
    ----------
    load_space : LoadSpace
        Its `tolerance_m` is taken for every length, `ANGLE_DEG` for angles.
    enclosure : Enclosure
    clearance_m : float
        Air wanted on every side but below [m].

    Returns
    -------
    Doubt

    Raises
    ------
    InputErrors
        Where readings contradict each other.
    """
    boxes = box_table([enclosure])
    margin = _margin(load_space, boxes, clearance_m)
    worse, better, found = 0.0, 0.0, []
    for field in type(load_space).model_fields:
        value = getattr(load_space, field)
        if not isinstance(value, float) or field in _NOT_READINGS or value == 0.0:
            continue
        step = ANGLE_DEG if field.endswith("_deg") else load_space.tolerance_m
        shifts = [
            _shifted(load_space, field, value + sign * step, boxes, clearance_m) - margin
            for sign in (1.0, -1.0)
        ]
        shifts = [shift for shift in shifts if np.isfinite(shift)] or [0.0]
        worse, better = worse + min(*shifts, 0.0), better + max(*shifts, 0.0)
        found.append((max(abs(shift) for shift in shifts), name_without_unit(field)))
    found.sort(key=lambda pair: -pair[0])
    sure = margin + worse >= 0 or margin + better < 0
    goes: Literal["goes in", "does not go in"] = "goes in" if margin >= 0 else "does not go in"
    return Doubt(
        verdict=goes if sure else "too close to call",
        margin_mm=margin,
        least_mm=margin + worse,
        most_mm=margin + better,
        influences=tuple(
            Influence(reading=name, change_mm=change) for change, name in found if change > 1e-6
        ),
        measure_again="" if sure or not found else found[0][1],
    )


def _margin(load_space: LoadSpace, boxes: BoxTable, clearance_m: float) -> float:
    return float(fit(solid(load_space), boxes, clearance_m=clearance_m).fit.margin[0])


def _shifted(
    load_space: LoadSpace, field: str, value: float, boxes: BoxTable, clearance_m: float
) -> float:
    """Return the margin with one reading changed; NaN where it cannot be so."""
    try:
        changed = type(load_space).model_validate(
            {**{f: getattr(load_space, f) for f in type(load_space).model_fields}, field: value}
        )
        return _margin(changed, boxes, clearance_m)
    except (ValidationError, InputErrors):
        return float("nan")
