"""What a cell of a supplier's sheet can tell: the fields of the records, by plain names.

A target's name is the path of the record's field without the unit (``shape.width``,
``driver.Qes``), so a new field of a record is at once a column that can be imported.
"""

from __future__ import annotations

import types
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from basswright.catalogue.contents import record_of
from basswright.quantities import kind_of, name_without_unit
from basswright.records.amplifier import PowerRating
from basswright.records.base import Record

_NOT_IN_SHEETS: Final = {"origins", "form"}
#: Fields that are given in another way, or can be worked out.
_NOT_REQUIRED: Final = {"id", "shape.width", "shape.height", "shape.depth", "ratings"} | {
    "shape.depth_bottom",
    "shape.depth_top",
    "lowest_load",
    "series",
    "size",
}


@dataclass(frozen=True, kw_only=True)
class Target:
    """One thing that a cell can tell.

    `reads` is a kind of quantity of :mod:`basswright.quantities`, or one of "text",
    "texts", "whole", "flag", "choice", "ratings", "load", "coils", "power range",
    "dimensions", "conductor".
    """

    name: str
    path: tuple[str, ...]
    reads: str
    required: bool = False
    choices: tuple[str, ...] = ()
    meaning: str = ""


_EXTRA: Final[dict[str, tuple[Target, ...]]] = {
    "enclosures": (
        Target(
            name="dimensions",
            path=(),
            reads="dimensions",
            meaning="width x height x depth in one cell, two depths as 350/220",
        ),
        Target(
            name="power",
            path=(),
            reads="power range",
            meaning="recommended power in one cell, such as 125-400 W RMS",
        ),
        Target(
            name="coils",
            path=(),
            reads="coils",
            meaning="coils or cones that are led out one by one, such as 2x4 ohm",
        ),
    ),
    "cables": (
        Target(
            name="conductor",
            path=(),
            reads="conductor",
            meaning="series and size in one cell, such as 4 AWG or 25 mm2",
        ),
    ),
}


@cache
def targets(kind: str) -> dict[str, Target]:
    """Return the targets of a kind of thing by name, in the order of its record."""
    found = {target.name: target for target in _walk(record_of(kind), (), needed=True)}
    if kind == "enclosures":
        load = found["load"]
        found["load"] = Target(name="load", path=load.path, reads="load", meaning=load.meaning)
    return found | {target.name: target for target in _EXTRA.get(kind, ())}


def _walk(record: type[Record], path: tuple[str, ...], *, needed: bool) -> Iterator[Target]:
    for name, field in record.model_fields.items():
        if name in _NOT_IN_SHEETS:
            continue
        here = (*path, name)
        annotation, records = _unwrapped(field.annotation)
        if records:
            seen: set[str] = set()
            for inner in records:
                for target in _walk(inner, here, needed=needed and field.is_required()):
                    if target.name not in seen:
                        seen.add(target.name)
                        yield target
        else:
            yield _plain(here, annotation, field, needed=needed)


def _unwrapped(annotation: Any) -> tuple[Any, tuple[type[Record], ...]]:
    """Return an annotation without None and notes, and the records in it if any."""
    if get_origin(annotation) in (Union, types.UnionType):
        inner = [part for part in get_args(annotation) if part is not type(None)]
        records = tuple(
            part for part in inner if isinstance(part, type) and issubclass(part, Record)
        )
        return inner[0], records
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation, (annotation,)
    return annotation, ()


def _plain(path: tuple[str, ...], annotation: Any, field: FieldInfo, *, needed: bool) -> Target:
    name = ".".join((*path[:-1], name_without_unit(path[-1])))
    reads, choices = "number", ()
    if get_origin(annotation) is Literal:
        reads, choices = "choice", get_args(annotation)
    elif get_origin(annotation) is tuple:
        reads = "ratings" if get_args(annotation)[0] is PowerRating else "texts"
    elif annotation is str:
        reads = "text"
    elif annotation is bool:
        reads = "flag"
    elif annotation is int:
        reads = "whole"
    elif path[-1] == "price":
        reads = "money"
    else:
        reads = kind_of(path[-1]) or "number"
    return Target(
        name=name,
        path=path,
        reads=reads,
        required=needed and field.is_required() and name not in _NOT_REQUIRED,
        choices=choices,
        meaning=field.description or "",
    )
