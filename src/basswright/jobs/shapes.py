"""How one value of a job file is written: the kinds of value that records are made of.

Each class reads one raw value (from a TOML file or a form) into what a record holds,
and writes it back so that reading gives the very same value. They are made from the
records' annotations by :mod:`basswright.jobs.keys` and know nothing of any field.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from basswright import quantities
from basswright.errors import InputError
from basswright.records.base import Record

#: Units in which a figure is written for a person, the first that is exact wins.
WRITTEN_UNITS = {
    "length": ("mm", "in", "m"),
    "area": ("cm2", "m2"),
    "volume": ("L", "cu ft", "m3"),
    "mass": ("kg",),
    "resistance": ("ohm",),
    "power": ("W",),
    "current": ("A", "mA"),
    "voltage": ("V",),
    "frequency": ("Hz",),
    "angle": ("deg",),
    "temperature": ("C",),
    "capacity": ("Ah",),
    "level": ("dB",),
    "time": ("s",),
    "inductance": ("mH", "H"),
    "capacitance": ("uF", "F"),
    "force factor": ("Tm",),
    "compliance": ("mm/N", "m/N"),
    "mechanical resistance": ("kg/s",),
    "share": ("%", ""),
}


class Shape(Protocol):
    """How one value is read and written."""

    @property
    def wanted(self) -> str:
        """What is accepted, in a few words."""
        ...

    def read(self, raw: object) -> object:
        """Return what the record holds, or raise an InputError without a place."""
        ...

    def write(self, value: object) -> str:
        """Return the value as it stands in a TOML file."""
        ...


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """A number with a unit: ``"640 mm"``."""

    kind: str

    @property
    def wanted(self) -> str:
        """Name the units that are accepted."""
        return quantities.allowed_units(self.kind)

    def read(self, raw: object) -> float:
        """Read a text; a bare number only where the kind has one without a unit."""
        if isinstance(raw, str):
            return quantities.read(raw, self.kind)
        value = _plain_number(raw, self.wanted)
        if "" not in quantities.UNITS[self.kind]:
            unit = WRITTEN_UNITS[self.kind][0]
            raise InputError(
                f"the unit is missing from this {self.kind}",
                value=raw,
                allowed=f'a text with its unit, such as "{raw} {unit}"',
            )
        return value

    def shown(self, value: float, unit: str = "") -> str:
        """Write the value for a person, to the last digit that counts."""
        units = (unit, *WRITTEN_UNITS[self.kind]) if unit else WRITTEN_UNITS[self.kind]
        texts = [text for candidate in units if (text := _exact(value, self.kind, candidate))]
        return next((text for text in texts if len(text) <= 13), min(texts, key=len))

    def write(self, value: object) -> str:
        """Write the value in quotes with its unit."""
        return json.dumps(self.shown(_as_float(value)), ensure_ascii=False)


@dataclass(frozen=True, kw_only=True)
class Number:
    """A plain number without a unit."""

    @property
    def wanted(self) -> str:
        """Say so."""
        return "a number"

    def read(self, raw: object) -> float:
        """Read a TOML number, or a number written as text."""
        return quantities.number(raw) if isinstance(raw, str) else _plain_number(raw, self.wanted)

    def write(self, value: object) -> str:
        """Write the shortest number that reads back the same."""
        number = _as_float(value)
        return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


@dataclass(frozen=True, kw_only=True)
class Whole:
    """A whole number."""

    @property
    def wanted(self) -> str:
        """Say so."""
        return "a whole number"

    def read(self, raw: object) -> int:
        """Read a whole number; 3.0 is one, 3.5 is not."""
        value = Number().read(raw)
        if not value.is_integer():
            raise InputError("not a whole number", value=raw, allowed=self.wanted)
        return int(value)

    def write(self, value: object) -> str:
        """Write it plainly."""
        return str(value)


@dataclass(frozen=True, kw_only=True)
class Text:
    """Any text."""

    @property
    def wanted(self) -> str:
        """Say so."""
        return "a text"

    def read(self, raw: object) -> str:
        """Take the text as it stands, without blanks at its ends."""
        if not isinstance(raw, str):
            raise InputError("not a text", value=raw, allowed="a text in quotes")
        return raw.strip()

    def write(self, value: object) -> str:
        """Quote it as TOML wants it."""
        return quoted(str(value))


@dataclass(frozen=True, kw_only=True)
class YesNo:
    """True or false."""

    @property
    def wanted(self) -> str:
        """Say so."""
        return "true or false"

    def read(self, raw: object) -> bool:
        """Read a TOML boolean or one of the words of a form."""
        if isinstance(raw, bool):
            return raw
        words = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}
        if isinstance(raw, str) and raw.strip().lower() in words:
            return words[raw.strip().lower()]
        raise InputError("neither true nor false", value=raw, allowed=self.wanted)

    def write(self, value: object) -> str:
        """Write it as TOML does."""
        return "true" if value else "false"


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few words."""

    words: tuple[str, ...]

    @property
    def wanted(self) -> str:
        """List the words."""
        return ", ".join(self.words)

    def read(self, raw: object) -> str:
        """Accept a word whatever its capitals."""
        if isinstance(raw, str):
            for word in self.words:
                if raw.strip().lower() == word.lower():
                    return word
        raise InputError("not one of the choices", value=raw, allowed=self.wanted)

    def write(self, value: object) -> str:
        """Quote it."""
        return quoted(str(value))


@dataclass(frozen=True, kw_only=True)
class ListOf:
    """Several values of one shape, or a fixed number of them."""

    item: Shape
    length: int | None = None

    @property
    def wanted(self) -> str:
        """Describe the list."""
        several = "a list" if self.length is None else f"a list of {self.length}"
        return f"{several}; each: {self.item.wanted}"

    def read(self, raw: object) -> tuple[object, ...]:
        """Read each item; a text is taken as items between commas."""
        items = [part for part in raw.split(",") if part.strip()] if isinstance(raw, str) else raw
        if not isinstance(items, list | tuple):
            raise InputError("not a list", value=raw, allowed=self.wanted)
        if self.length is not None and len(items) != self.length:
            raise InputError(f"{len(items)} values", value=raw, allowed=self.wanted)
        return tuple(self.item.read(item) for item in items)

    def write(self, value: object) -> str:
        """Write the items between brackets."""
        assert isinstance(value, list | tuple)
        return f"[{', '.join(self.item.write(item) for item in value)}]"


@dataclass(frozen=True, kw_only=True)
class Table:
    """A nested record: a table of its own in the file.

    `variants` has one entry under an empty tag for a plain record, and one for each
    value of the field `tag_field` where several records share a place.
    """

    variants: Mapping[str, type[Record]]
    tag_field: str = ""
    many: bool = False

    @property
    def wanted(self) -> str:
        """Describe the table."""
        return "a list of tables" if self.many else "a table of its own"

    def read(self, raw: object) -> object:
        """Tables are read field by field; see :mod:`basswright.jobs.table`."""
        raise InputError("not a single value", value=raw, allowed=self.wanted)

    def write(self, value: object) -> str:
        """Tables are written field by field; see :mod:`basswright.jobs.writing`."""
        raise TypeError(f"a table is no single value: {value!r}")


@dataclass(frozen=True, kw_only=True)
class OriginTable:
    """Where figures come from, by the key of the figure."""

    read_origin: Callable[[object], object] = field(default=lambda raw: raw)

    @property
    def wanted(self) -> str:
        """Describe the table."""
        return "a table: key of a figure -> { kind, low, high, note }"

    def read(self, raw: object) -> object:
        """Origins are read with the record that they belong to."""
        raise InputError("not a single value", value=raw, allowed=self.wanted)

    def write(self, value: object) -> str:
        """Origins are written with the record that they belong to."""
        raise TypeError(f"origins are no single value: {value!r}")


def quoted(text: str) -> str:
    """Quote a text as a TOML basic string."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _as_float(value: object) -> float:
    if not isinstance(value, int | float):
        raise TypeError(f"not a number: {value!r}")
    return float(value)


def _plain_number(raw: object, wanted: str) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise InputError("not a number", value=raw, allowed=wanted)
    try:
        value = float(raw)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        shown = raw if isinstance(raw, float) else "a number beyond every range"
        raise InputError("not a finite number", value=shown, allowed=wanted)
    return value


def _exact(value: float, kind: str, unit: str) -> str:
    factor = quantities.UNITS[kind].get(unit, quantities.UNITS[kind].get(unit.lower(), 1.0))
    for digits in (6, 9, 12, 15, 17):
        text = f"{float(f'{value / factor:.{digits}g}')!r}"
        text = f"{text.removesuffix('.0')} {unit}".strip()
        if quantities.read(text, kind) == value:
            return text
    return ""
