"""Form fields, made from the records: a new reading in a record is a new field here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from basswright.jobs.editing import NOT_YET_READ
from basswright.jobs.keys import Key, keys_of
from basswright.jobs.samples import space_tables
from basswright.jobs.shapes import (
    Choice,
    ListOf,
    Number,
    OriginTable,
    Quantity,
    Table,
    Text,
    YesNo,
)
from basswright.jobs.table import find_key
from basswright.quantities import UNITS
from basswright.records.base import Origin, Record
from basswright.records.job import Job
from basswright.web import words

_INCH_M = 0.0254
_LONG_M = 3.0


@dataclass(frozen=True, kw_only=True)
class FormField:
    """One field of a page.

    Attributes
    ----------
    path : str
        Dotted key of the job file.
    kind : str
        "figure", "choice", "choices", "yes-no" or "text".
    text : str
        The value as it is shown.
    unit : str
        Taken for a bare number; shown beside the field.
    choices : tuple of (str, str)
        Value and name of each choice.
    chosen : tuple of str
    origin : str
        "given", "measured", "estimated" or "template".
    note, band : str
        How an estimate was come by, and its band.
    error : str
        Why the last text was not taken.
    """

    path: str
    kind: str
    label: str
    hint: str
    how: str
    text: str
    unit: str
    choices: tuple[tuple[str, str], ...] = ()
    chosen: tuple[str, ...] = ()
    origin: str = "given"
    note: str = ""
    band: str = ""
    error: str = ""
    written: str = ""
    is_rare: bool = False

    @property
    def id(self) -> str:
        """Return an id for the page."""
        return "f-" + self.path.replace(".", "-").replace("_", "-")

    @property
    def figure(self) -> str:
        """Return the text without the unit that stands beside it."""
        return self.text.removesuffix(self.unit).strip() if self.unit else self.text

    @property
    def is_reading(self) -> bool:
        """Say whether a drawing shows where to take it."""
        return self.path.startswith("car.load_space.") and self.kind == "figure"


def fields_of(job: Job, table: str) -> tuple[FormField, ...]:
    """Return the fields of one table of a job (``"car.cabin"``), nested tables left out."""
    return tuple(field_at(job, f"{table}.{key.key}") for key in _plain_keys(job, table))


def field_at(job: Job, path: str, *, error: str = "", written: str = "") -> FormField:
    """Return one field as it stands in a job, or with what was written and not taken."""
    key, value, origin = _place(job, path)
    shape = key.shape
    kind = "text"
    choices: tuple[tuple[str, str], ...] = ()
    chosen: tuple[str, ...] = ()
    if isinstance(shape, Quantity | Number):
        kind = "figure"
    elif isinstance(shape, Choice):
        kind, choices, chosen = "choice", _named(shape.words), (str(value),)
    elif isinstance(shape, ListOf) and isinstance(shape.item, Choice):
        kind, choices = "choices", _named(shape.item.words)
        chosen = tuple(str(word) for word in value or ())
    elif isinstance(shape, YesNo):
        kind, choices = "yes-no", (("true", "yes"), ("false", "no"))
        chosen = ("true" if value else "false",)
    if path == "car.load_space.kind":
        choices = _named(tuple(dict.fromkeys((*space_tables(), str(value)))))
    unit = unit_of(job, key, value)
    from_template = origin is not None and origin.note == NOT_YET_READ
    return FormField(
        path=path,
        kind=kind,
        label=words.label(path),
        hint=key.description,
        how=words.HOW_TO.get(path, ""),
        text=shown(key, value, unit),
        unit=unit,
        choices=choices,
        chosen=chosen,
        origin="template" if from_template else origin.kind if origin else "given",
        note=origin.note if origin else "",
        band=_band(key, origin, unit),
        error=error,
        written=written,
        is_rare=path.startswith("car.load_space.") and not key.required,
    )


def is_field(path: str) -> bool:
    """Say whether a dotted key names something that a field can show."""
    found = find_key(Job, path)
    if found is None:
        return False
    shape = found[1].shape
    is_figures = isinstance(shape, ListOf) and not isinstance(shape.item, Choice)
    return not isinstance(shape, Table | OriginTable) and not is_figures


def unit_of(job: Job, key: Key, value: Any) -> str:
    """Return the unit in which a field shows its figure and takes a bare number."""
    if not isinstance(key.shape, Quantity):
        return ""
    inches = job.workshop.lengths == "inch"
    size = abs(value) if isinstance(value, float) else 0.0
    if key.shape.kind == "length":
        if inches:
            return "ft" if size >= _LONG_M else "in"
        return "m" if size >= _LONG_M else "mm"
    if key.shape.kind == "volume":
        return "cu ft" if inches else "L"
    if key.shape.kind == "current" and 0 < size < 1:
        return "mA"
    usual = {
        "area": "sq in" if inches else "cm2", "mass": "lb" if inches else "kg",
        "resistance": "ohm", "power": "W", "current": "A", "voltage": "V", "frequency": "Hz",
        "angle": "deg", "temperature": "C", "capacity": "Ah", "level": "dB", "time": "min",
        "share": "%",
    }  # fmt: skip
    return usual.get(key.shape.kind, "")


def shown(key: Key, value: Any, unit: str) -> str:
    """Write a value for a form, to the digits that a person reads."""
    if value is None:
        return ""
    if isinstance(key.shape, Quantity):
        return f"{_figure(value, key.shape.kind, unit)} {unit}".strip()
    if isinstance(key.shape, Number):
        return f"{value:.6g}"
    if isinstance(key.shape, Text):
        return str(value)
    if isinstance(value, tuple):
        return ", ".join(words.word(str(item)) for item in value)
    return words.word(str(value))


def _figure(value: float, kind: str, unit: str) -> str:
    units = UNITS[kind]
    figure = value / units.get(unit, units.get(unit.lower(), 1.0))
    if unit == "in":
        return _inches(value)
    digits = 1 if unit in ("mm", "L", "cm2", "mA", "Hz", "dB", "deg", "%", "A") else 3
    return f"{figure:.{digits}f}".rstrip("0").rstrip(".") or "0"


def _inches(value_m: float) -> str:
    whole = Fraction(round(value_m / _INCH_M * 16), 16)
    if abs(float(whole) * _INCH_M - value_m) > 5e-6:
        return f"{value_m / _INCH_M:.2f}"
    sign, whole = ("-", -whole) if whole < 0 else ("", whole)
    inches, rest = divmod(whole, 1)
    if not rest:
        return f"{sign}{inches}"
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{inches} {part}" if inches else f"{sign}{part}"


def _band(key: Key, origin: Origin | None, unit: str) -> str:
    if origin is None or origin.low is None or origin.high is None:
        return ""
    return f"{shown(key, origin.low, unit)} to {shown(key, origin.high, unit)}"


def _named(values: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((value, words.word(value)) for value in values)


def _plain_keys(job: Job, table: str) -> Iterator[Key]:
    node: Any = job
    for part in table.split("."):
        node = getattr(node, part)
    for key in keys_of(_record(node)):
        is_figures = isinstance(key.shape, ListOf) and not isinstance(key.shape.item, Choice)
        if not isinstance(key.shape, Table | OriginTable) and not is_figures:
            yield key


def _place(job: Job, path: str) -> tuple[Key, Any, Origin | None]:
    *tables, name = path.split(".")
    node: Any = job
    for part in tables:
        node = getattr(node, part)
    key = next(key for key in keys_of(_record(node)) if key.key == name)
    in_car = [*tables, key.field][1:] if tables[:1] == ["car"] else []
    return key, getattr(node, key.field), job.car.origins.get(".".join(in_car))


def _record(node: object) -> type[Record]:
    if not isinstance(node, Record):
        raise TypeError(f"no record: {node!r}")
    return type(node)
