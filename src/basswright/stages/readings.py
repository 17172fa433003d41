"""Which reading is worth taking again: how little of a change costs the best options."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

import numpy as np
from pydantic import BaseModel, ValidationError

from basswright import space
from basswright.errors import BasswrightError
from basswright.quantities import kind_of, millimetres, name_without_unit
from basswright.records.enclosure import Enclosure
from basswright.records.options import Sensitivity
from basswright.records.space import LoadSpace
from basswright.records.system import Option
from basswright.stages.sight import as_hidden
from basswright.stages.weigh import Weighed

#: A reading that has to change by more than this to cost anything is not told.
FARTHEST_M = 0.03
_STEP_M = 0.001

_Measured = TypeVar("_Measured", bound=BaseModel)


def sensitivities(
    weighed: Weighed, options: Sequence[Option], *, farthest_m: float = FARTHEST_M
) -> tuple[Sensitivity, ...]:
    """Return the readings that the given options hang on, most delicate first.

    Parameters
    ----------
    weighed : Weighed
    options : sequence of Option
        The best few of the same job.
    farthest_m : float
        Largest change that is looked at [m].

    Returns
    -------
    tuple of Sensitivity
        Empty when none of the options would be lost.
    """
    load_space, clearance = weighed.job.car.load_space, weighed.job.wish.clearance_m
    visible = weighed.job.wish.visible
    boxes = [option.enclosure for option in options]
    found = []
    for path in _readings(load_space):
        for sign in (-1.0, 1.0):
            if not _lost(load_space, path, sign * farthest_m, boxes, (clearance, visible)).any():
                continue
            steps = _smallest(load_space, path, sign, boxes, (clearance, visible), farthest_m)
            change = sign * steps * _STEP_M
            lost = _lost(load_space, path, change, boxes, (clearance, visible))
            names = tuple(o.id for o, gone in zip(options, lost, strict=True) if gone)
            found.append(_told(path, change, names, len(options)))
    return tuple(sorted(found, key=lambda each: abs(each.change_m)))


def _smallest(
    load_space: LoadSpace,
    path: str,
    sign: float,
    boxes: Sequence[Enclosure],
    wanted: tuple[float, bool],
    farthest_m: float,
) -> int:
    low, high = 0, round(farthest_m / _STEP_M)
    while high - low > 1:
        middle = (low + high) // 2
        if _lost(load_space, path, sign * middle * _STEP_M, boxes, wanted).any():
            high = middle
        else:
            low = middle
    return high


def _readings(record: BaseModel, prefix: str = "") -> Iterator[str]:
    for name in type(record).model_fields:
        value = getattr(record, name)
        if isinstance(value, BaseModel):
            yield from _readings(value, f"{prefix}{name}.")
        elif name == "tolerance_m" or kind_of(name) != "length":
            continue
        elif isinstance(value, float) and value > 0:
            yield prefix + name


def _changed(record: _Measured, path: str, change: float) -> _Measured:
    head, _, rest = path.partition(".")
    value = getattr(record, head)
    new = _changed(value, rest, change) if rest else value + change
    data = {name: getattr(record, name) for name in type(record).model_fields}
    return type(record).model_validate({**data, head: new})


def _lost(
    load_space: LoadSpace,
    path: str,
    change: float,
    boxes: Sequence[Enclosure],
    wanted: tuple[float, bool],
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Tell which boxes no longer go in when one reading is changed."""
    try:
        changed = as_hidden(_changed(load_space, path, change), visible=wanted[1])
        fit = space.fit(space.solid(changed), space.box_table(boxes), clearance_m=wanted[0])
    except (BasswrightError, ValidationError):
        return np.zeros(len(boxes), dtype=np.bool_)
    return ~(fit.fit.passes & fit.opening.passes)


def _told(path: str, change: float, names: tuple[str, ...], of: int) -> Sensitivity:
    reading = " of the ".join(
        name_without_unit(part).replace("_", " ") for part in reversed(path.split("."))
    )
    how = "less" if change < 0 else "more"
    gone = "the best is gone" if len(names) == 1 and of > 0 else f"{len(names)} of {of} are gone"
    text = f"measure the {reading} again: {millimetres(abs(change))} {how} and {gone}"
    return Sensitivity(reading=path, change_m=change, lost=names, text=text)
