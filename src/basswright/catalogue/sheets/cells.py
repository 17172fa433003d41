"""Reads one cell: a text or a number becomes the value that the record holds."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from basswright.catalogue.sheets.harmless import plain_again
from basswright.catalogue.sheets.loads import LoadTold, read_coils
from basswright.catalogue.sheets.mapping import OBVIOUS_UNIT
from basswright.catalogue.sheets.targets import Target
from basswright.catalogue.sheets.words import choice_words, flag_words, nothing_words, plain
from basswright.errors import InputError, QuantityError
from basswright.quantities import (
    UNITS,
    allowed_units,
    number,
    read,
    read_conductor,
    read_power_range,
    tidy,
)

#: What a file gives: text from CSV, numbers from XLSX and JSON too.
Cell: TypeAlias = str | float | int | None

_BARE = re.compile(r"^[+-]?[\d.,' /]+$")
_ENDS_IN_NUMBER = re.compile(r"\d$")
_LONGEST: Final = 2000
_RATING = re.compile(
    r"^(single|per[ -]channel|bridged)\s+(\S+\s*(?:ohms?|Ω))\s*[:=]?\s*(\S+\s*\S*)$", re.I
)


@dataclass(frozen=True, slots=True)
class Told:
    """What a cell tells. `values` go into the record by path; `remark` is for the report."""

    values: tuple[tuple[tuple[str, ...], Any], ...]
    remark: str = ""
    #: What should also stand in the record's own remarks.
    note: str = ""


Reader: TypeAlias = Callable[[str, str], Told]


def is_nothing(cell: Cell) -> bool:
    """Return whether a cell tells nothing: empty, a dash, "n/a"."""
    if cell is None:
        return True
    return isinstance(cell, str) and cell.strip().casefold() in nothing_words()


def as_text(cell: Cell) -> str:
    """Return a cell as text; numbers with a decimal point and without exponent noise."""
    if isinstance(cell, float):
        return f"{cell:.15g}"
    return str(cell)


def tell(target: Target, cell: Cell, *, unit: str, decimal: str) -> Told:
    """Read a cell for a target.

    Parameters
    ----------
    target : Target
    cell : text or number, not :func:`is_nothing`
    unit : str
        Unit of a bare number; empty if none is told.
    decimal : str
        Decimal sign of the file's texts; numbers of a workbook have none.

    Raises
    ------
    InputError
        The cell cannot be used.
    """
    text = as_text(cell)
    if len(text) > _LONGEST:
        raise InputError("too long for a cell", value=text, allowed=f"{_LONGEST} letters")
    sign = decimal if isinstance(cell, str) else "."
    if target.reads in ("text", "texts"):
        return _SPECIAL[target.reads](target, " ".join(text.split()), unit, sign)
    reader = _SPECIAL.get(target.reads)
    if reader is not None:
        return reader(target, tidy(text), unit, sign)
    return Told(((target.path, _quantity(target.reads, tidy(text), unit, sign)),))


def rating(mode: str, load_ohm: float, cell: Cell, *, unit: str, decimal: str) -> dict[str, Any]:
    """Read a power at a load; ``2x75 W`` means 75 W from each output."""
    text = tidy(as_text(cell))
    several = re.match(r"^(\d+)\s*[xX*]\s*(.+)$", text)
    bare = several[2] if several else text
    power = read_power_range(_with_unit(bare, unit or "W")).high_w
    return {"mode": mode, "load_ohm": load_ohm, "power_w": power}


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if unit and _BARE.match(text) else text


def _quantity(reads: str, text: str, unit: str, decimal: str) -> float:
    """Read a quantity, to twelve significant digits so that units leave no crumbs."""
    unit = unit or OBVIOUS_UNIT.get(reads, "")
    if reads in ("money", "number"):
        unit = ""
    try:
        value = read(_with_unit(text, unit), reads, decimal=decimal)
    except QuantityError as error:
        if reads == "money" and error.problem in ("not a money", "not a number"):
            error = QuantityError("not a price", allowed=allowed_units("money"))
        raise InputError(error.problem, value=text, allowed=error.allowed) from None
    return float(f"{value:.12g}")


def _text(target: Target, text: str, unit: str, decimal: str) -> Told:
    return Told(((target.path, plain_again(text)),))


def _texts(target: Target, text: str, unit: str, decimal: str) -> Told:
    parts = tuple(part.strip() for part in plain_again(text).split(";") if part.strip())
    return Told(((target.path, parts),))


def _whole(target: Target, text: str, unit: str, decimal: str) -> Told:
    bare = re.sub(r"\s*x$", "", text, flags=re.I)
    value = number(bare, decimal=decimal)
    if value != int(value):
        raise InputError("not a whole number", value=text, allowed="such as 2")
    return Told(((target.path, int(value)),))


def _flag(target: Target, text: str, unit: str, decimal: str) -> Told:
    answer = flag_words().get(text.casefold())
    if answer is None:
        raise InputError("neither yes nor no", value=text, allowed="yes or no")
    return Told(((target.path, answer),))


def _choice(target: Target, text: str, unit: str, decimal: str) -> Told:
    if text in target.choices:
        return Told(((target.path, text),))
    folded = {plain(choice): choice for choice in target.choices}
    found = folded.get(plain(text)) or choice_words(target.path[-1]).get(plain(text))
    if found is None or found not in target.choices:
        raise InputError("not a known word", value=text, allowed=", ".join(target.choices))
    return Told(((target.path, found),))


def _load(target: Target, text: str, unit: str, decimal: str) -> Told:
    """Read a load; coils that are not said to be led out count as parallel, with a remark."""
    return _coils(read_coils(text))


def _led_out(target: Target, text: str, unit: str, decimal: str) -> Told:
    """Read coils of which each has terminals of its own."""
    return _coils(read_coils(text, outside=True))


def _coils(told: LoadTold) -> Told:
    parallel = float(f"{told.each_ohm / told.coils:.12g}")
    load = (("load_ohm",), parallel)
    if told.coils == 1:
        return Told((load,))
    series = told.each_ohm * told.coils
    note = (
        f"{told.coils} coils of {told.each_ohm:g} ohm: {parallel:g} ohm in parallel, "
        f"{series:g} ohm in series"
    )
    if told.outside:
        pairs = (("terminals", "pairs"), told.coils), (("terminals", "load_ohm"), told.each_ohm)
        return Told((load, *pairs), remark=f"{note}; every wiring outside is offered")
    remark = (
        f"{note}; taken as parallel, as the sheet does not say that each coil has its own "
        "terminals (a column 'terminals' can)"
    )
    return Told((load,), remark=remark, note=note)


def _power_range(target: Target, text: str, unit: str, decimal: str) -> Told:
    ends = re.match(r"^([\d.,' ]+)(?:-|to|\.\.+|bis|à)\s*([\d.,' ]+)$", text)
    if ends:
        text = f"{ends[1].strip()}-{ends[2].strip()}"
    text = re.sub(r"\s(?:bis|à)\s", " to ", text)
    if re.match(r"^[\d.,' -]+(?:to[\d.,' ]+)?$", text):
        text = f"{text} {unit or 'W'}"
    power = read_power_range(text)
    high = (("power_high_w",), power.high_w)
    if power.low_w == power.high_w:
        return Told((high,))
    return Told(((("power_low_w",), power.low_w), high))


def _dimensions(target: Target, text: str, unit: str, decimal: str) -> Told:
    """Read ``640 x 380 x 350 mm``, or ``640 x 380 x 350/220 mm`` for a wedge."""
    tail = re.search(r"\s*(mm|cm|m|in|inch|inches|\")\s*(?:\(?[wbl]\s*x.*)?$", text, re.I)
    unit = tail[1] if tail else unit
    parts = re.split(r"\s*[xX*]\s*", text[: tail.start()] if tail else text)
    if len(parts) != 3 or not unit:
        problem = "not width x height x depth" if unit else "the unit of the dimensions is missing"
        raise InputError(problem, value=text, allowed="such as 640 x 380 x 350 mm")
    depths = parts[2].split("/") if not re.search(r"\d\s+\d+/\d+$", parts[2]) else [parts[2]]
    names = ["width_m", "height_m", "depth_m"]
    if len(depths) == 2:
        names = ["width_m", "height_m", "depth_bottom_m", "depth_top_m"]
    values = [_quantity("length", tidy(p), unit, decimal) for p in (*parts[:2], *depths)]
    if len(depths) == 2 and values[2] < values[3]:
        values[2], values[3] = values[3], values[2]
    return Told(tuple((("shape", name), v) for name, v in zip(names, values, strict=True)))


def _conductor(target: Target, text: str, unit: str, decimal: str) -> Told:
    size = read_conductor(_with_unit(text, unit) if not text.endswith("/0") else f"{text} {unit}")
    return Told(((("series",), size.series), (("size",), size.name)))


def _ratings(target: Target, text: str, unit: str, decimal: str) -> Told:
    """Read ``single 4 ohm 300 W; bridged 4 ohm 600 W``."""
    lines = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        found = _RATING.match(part)
        if not found:
            raise InputError("not a power rating", value=part, allowed="such as single 4 ohm 300 W")
        mode = found[1].lower().replace(" ", "-")
        load = _quantity("resistance", found[2], "", decimal)
        lines.append(rating(mode, load, found[3], unit="W", decimal=decimal))
    return Told(((target.path, tuple(lines)),))


_SPECIAL: Final[dict[str, Callable[[Target, str, str, str], Told]]] = {
    "text": _text,
    "texts": _texts,
    "whole": _whole,
    "flag": _flag,
    "choice": _choice,
    "load": _load,
    "coils": _led_out,
    "power range": _power_range,
    "dimensions": _dimensions,
    "conductor": _conductor,
    "ratings": _ratings,
}


def needs_unit(target: Target) -> bool:
    """Return whether a bare number for this target could mean several units."""
    units = UNITS.get("length" if target.reads == "dimensions" else target.reads, {"": 1.0})
    return "" not in units and target.reads not in OBVIOUS_UNIT


def units_of(target: Target) -> str:
    """Return the units that a target takes, for a person."""
    return allowed_units("length" if target.reads == "dimensions" else target.reads)
