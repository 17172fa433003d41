"""Which keys a record has in a job file, found from the record itself.

A key is a field's name without its unit (``width_floor_m`` -> ``width_floor``); how
its value is written follows from the annotation and from the unit in the name.
"""

from __future__ import annotations

import types
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import annotated_types
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from basswright.jobs.shapes import (
    Choice,
    ListOf,
    Number,
    OriginTable,
    Quantity,
    Shape,
    Table,
    Text,
    Whole,
    YesNo,
)
from basswright.quantities import kind_of, name_without_unit
from basswright.records.base import Origin, Record


@dataclass(frozen=True, kw_only=True)
class Key:
    """One key of a job file, and the field of the record that it fills.

    Attributes
    ----------
    field : str
        Name in the record, with its unit.
    key : str
        Name in the file, without it.
    shape : Shape
        How the value is read and written.
    required : bool
        True where the record itself has no default.
    default : object
        What the record takes when the key is missing; None where it is required.
    description : str
    low, high : float or None
        Ends of the allowed range, in the unit held inside.
    low_excluded, high_excluded : bool
        Whether the end itself is refused.
    """

    field: str
    key: str
    shape: Shape
    required: bool
    default: object
    description: str
    low: float | None
    high: float | None
    low_excluded: bool
    high_excluded: bool

    def range_text(self) -> str:
        """Return the allowed range as a person reads it, empty where there is none."""
        low = "" if self.low is None else self._shown(self.low)
        high = "" if self.high is None else self._shown(self.high)
        if low and high:
            above = "more than " if self.low_excluded else ""
            below = "less than " if self.high_excluded else ""
            return f"{above}{low} to {below}{high}"
        if low:
            return f"more than {low}" if self.low_excluded else f"{low} or more"
        if high:
            return f"less than {high}" if self.high_excluded else f"{high} or less"
        return ""

    def _shown(self, value: float) -> str:
        return self.shape.shown(value) if isinstance(self.shape, Quantity) else f"{value:g}"


@cache
def keys_of(record: type[Record]) -> tuple[Key, ...]:
    """Return the keys of a record, in the order of its fields."""
    return tuple(_key(name, info) for name, info in record.model_fields.items())


@cache
def key_of(record: type[Record], key: str) -> Key | None:
    """Return the key of that name, or None."""
    return next((known for known in keys_of(record) if known.key == key), None)


def key_path_of(record: type[Record], field_path: str) -> str:
    """Return the dotted keys of a file for the dotted fields of a record."""
    names, records = [], [record]
    for part in field_path.split("."):
        key = next((k for known in records for k in keys_of(known) if k.field == part), None)
        if key is None:
            raise KeyError(field_path)
        names.append(key.key)
        records = list(key.shape.variants.values()) if isinstance(key.shape, Table) else []
    return ".".join(names)


def variant_of(shape: Table, tag: object) -> type[Record] | None:
    """Return the record that a table holds, by its tag; None for an unknown tag."""
    if not shape.tag_field:
        return shape.variants[""]
    return shape.variants.get(tag) if isinstance(tag, str) else None


def _key(name: str, info: FieldInfo) -> Key:
    required = info.is_required()
    default = info.get_default(call_default_factory=True, validated_data={})
    low, low_excluded = _end(info.metadata, annotated_types.Gt, annotated_types.Ge)
    high, high_excluded = _end(info.metadata, annotated_types.Lt, annotated_types.Le)
    return Key(
        field=name,
        key=name_without_unit(name),
        shape=_shape(info.annotation, kind_of(name), str(info.discriminator or "")),
        required=required,
        default=None if required or default is PydanticUndefined else default,
        description=info.description or "",
        low=low,
        high=high,
        low_excluded=low_excluded,
        high_excluded=high_excluded,
    )


def _end(metadata: Iterable[object], open_end: Any, closed_end: Any) -> tuple[float | None, bool]:
    for mark in metadata:
        if isinstance(mark, open_end | closed_end):
            name = "g" if hasattr(mark, "gt") or hasattr(mark, "ge") else "l"
            is_open = isinstance(mark, open_end)
            return float(getattr(mark, name + ("t" if is_open else "e"))), is_open
    return None, False


def _shape(annotation: Any, kind: str | None, tag_field: str) -> Shape:
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        marks = (getattr(mark, "discriminator", None) for mark in arguments[1:])
        tag = next((str(mark) for mark in marks if mark), tag_field)
        return _shape(arguments[0], kind, tag)
    if origin in (Union, types.UnionType):
        kept = tuple(item for item in arguments if item is not type(None))
        if len(kept) == 1:
            return _shape(kept[0], kind, tag_field)
        return Table(variants=_variants(kept, tag_field), tag_field=tag_field)
    if origin is Literal:
        return Choice(words=tuple(str(word) for word in arguments))
    if origin is tuple:
        return _list_shape(arguments, kind, tag_field)
    if origin is dict and arguments[1] is Origin:
        return OriginTable()
    return _plain_shape(annotation, kind)


def _plain_shape(annotation: Any, kind: str | None) -> Shape:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return Table(variants={"": annotation})
    if annotation is float:
        return Number() if kind is None else Quantity(kind=kind)
    plain: dict[Any, Shape] = {int: Whole(), str: Text(), bool: YesNo()}
    return plain[annotation]


def _list_shape(arguments: tuple[Any, ...], kind: str | None, tag_field: str) -> Shape:
    endless = len(arguments) == 2 and arguments[1] is Ellipsis
    item = _shape(arguments[0], kind, tag_field)
    if isinstance(item, Table):
        return Table(variants=item.variants, tag_field=item.tag_field, many=True)
    return ListOf(item=item, length=None if endless else len(arguments))


def _variants(records: tuple[Any, ...], tag_field: str) -> dict[str, type[Record]]:
    variants: dict[str, type[Record]] = {}
    for record in records:
        inner = get_args(record)[0] if get_origin(record) is Annotated else record
        if not (isinstance(inner, type) and issubclass(inner, Record)):
            raise TypeError(f"a job file cannot hold one of {records!r}")
        for word in get_args(inner.model_fields[tag_field].annotation):
            variants[str(word)] = inner
    return variants
