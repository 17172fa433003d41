"""Reads one cell: a text or a number becomes the value that the record holds."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from basswright.catalogue.sheets.harmless import plain_again
from basswright.catalogue.sheets.loads import LoadTold, read_coils
from basswright.catalogue.sheets.mapping import OBVIOUS_UNIT
from basswright.catalogue.sheets.targets import Target
from basswright.catalogue.sheets.words import (
    choice_stems,
    choice_words,
    flag_words,
    nothing_words,
    plain,
)
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
_TWO_DEPTHS = re.compile(r"^([\d.,]+)\s*/\s*([\d.,]+)$")
_TWO_POWERS = re.compile(
    r"^([\d.,]+)\s*/\s*([\d.,]+)\s*(?:w|watts?)?\s*(?:rms\s*/\s*max\.?)?$", re.I
)
#: A fraction of an inch; its lower number is a power of two.
_FRACTION = re.compile(r"(?:^|[\s-])(?:1/2|[13]/4|[1357]/8|\d{1,2}/16|\d{1,2}/32)$")
_DASHED = re.compile(r"(\d)\s*-\s*(\d{1,2}/\d{1,2})\b")
_RATING = re.compile(
    r"^(single|per[ -]channel|bridged)\s+(\S+\s*(?:ohms?|Ω))\s*[:=]?\s*(\S+\s*\S*)$", re.I
)


#: Signs around a figure that change nothing about it.
_AROUND = re.compile(
    r"^(?:[Øø⌀≤~≈]|ca\.?|circa|approx\.?|env\.?|up to|bis(?: zu)?|max\.? rms)\s*", re.I
)
_CURRENCY = re.compile(r"(?:€|\$|£|zł|kč|\b(?:eur|euro|usd|gbp|chf|pln|czk|sek|nok|dkk)\b)", re.I)
_SPREADSHEET_DATE = re.compile(r"^\d{4}-\d\d-\d\d(?: \d\d:\d\d:\d\d)?$")


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
    if _SPREADSHEET_DATE.match(text) and target.reads not in ("text", "texts"):
        problem = "a date; the spreadsheet made one of what was written there"
        raise InputError(problem, value=text, allowed="the figure as text")
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
    text = _DASHED.sub(r"\1 \2", _AROUND.sub("", text))
    if reads == "length":
        text = re.sub(r"(?:″|”|''|\bzoll\b|\bpouces?\b|\bpulg\w*\b)$", "in", text, flags=re.I)
    elif re.search(r"\d\s*/\s*\d", text):
        raise InputError("two figures, or a fraction where none is usual", value=text)
    if reads == "money":
        text = re.sub(r"[.,]\s*[–—-]+$|\s*\*+$", "", _CURRENCY.sub("", text).strip()).strip()
    if reads == "current":
        several = re.match(r"^(\d+)\s*[x×*]\s*(.+)$", text, re.I)
        if several:
            return int(several[1]) * _quantity(reads, several[2], unit, decimal)
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
    if found is None:
        stems = choice_stems(target.path[-1])
        found = next((choice for choice, stem in stems if stem.search(text.casefold())), None)
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
    two = re.match(
        r"^([\d.,]+)\s*/\s*([\d.,]+)\s*(?:w|watts?)?\s*(?:rms\s*/\s*max\.?)?$", text, re.I
    )
    if two:
        power = read_power_range(f"{two[1]} {unit or 'W'}")
        note = "two powers in one cell: the first taken as the continuous (RMS) one"
        return Told(((("power_high_w",), power.high_w),), remark=note)
    text = _AROUND.sub("", text.replace("–", "-"))
    ends = re.match(r"^([\d.,' ]+)(?:-|to|\.\.+|bis|à|do)\s*([\d.,' ]+)$", text)
    if ends:
        text = f"{ends[1].strip()}-{ends[2].strip()}"
    text = re.sub(r"\s(?:bis|à|do|a)\s", " to ", text)
    text = re.sub(r"^(?:rms|sinus)\s*[:=]?\s*|\s*(?:sinus|nenn\w*)$", "", text, flags=re.I)
    if re.match(r"^[\d.,' -]+(?:to[\d.,' ]+)?$", text):
        text = f"{text} {unit or 'W'}"
    power = read_power_range(text)
    high = (("power_high_w",), power.high_w)
    if power.low_w == power.high_w:
        return Told((high,))
    return Told(((("power_low_w",), power.low_w), high))


def _dimensions(target: Target, text: str, unit: str, decimal: str) -> Told:
    """Read ``640 x 380 x 350 mm``, or ``640 x 380 x 350/220 mm`` for a wedge."""
    parts, units = _three_sides(text)
    unit = next((each for each in reversed(units) if each), unit)
    if len(parts) != 3 or not unit:
        problem = "not width x height x depth" if unit else "the unit of the dimensions is missing"
        raise InputError(problem, value=text, allowed="such as 640 x 380 x 350 mm")
    order = target.name.partition(" ")[2] or "whd"
    told = {axis: (parts[i], units[i] or unit) for i, axis in enumerate(order)}
    names, values = ["width_m", "height_m"], [told["w"], told["h"]]
    two = _TWO_DEPTHS.match(told["d"][0])
    if two and not _FRACTION.search(told["d"][0]):
        names += ["depth_bottom_m", "depth_top_m"]
        values += [(two[1], told["d"][1]), (two[2], told["d"][1])]
    else:
        names.append("depth_m")
        values.append(told["d"])
    metres = [_quantity("length", tidy(part), each, decimal) for part, each in values]
    if len(metres) == 4 and metres[2] < metres[3]:
        metres[2], metres[3] = metres[3], metres[2]
    return Told(tuple((("shape", name), v) for name, v in zip(names, metres, strict=True)))


def _three_sides(text: str) -> tuple[list[str], list[str]]:
    """Return the parts between the crosses, and the unit of each where it has one."""
    bare = re.sub(r"\([^)]*\)\s*$", "", text)
    bare = re.sub(r"\b[bwlhtdp]\s*[:=]?\s*(?=\d)", "", bare, flags=re.I)
    parts, units = [], []
    for part in re.split(r"\s*[xX×*]\s*", bare.strip()):
        tail = re.search(r"\s*(mm|cm|m|inch(?:es)?|in\.?|zoll|''|\"|″|”)$", part, re.I)
        unit = tail[1].lower().strip(".") if tail else ""
        units.append("in" if unit in ("zoll", "''", '"', "″", "”", "inch", "inches") else unit)
        parts.append(part[: tail.start()].strip() if tail else part.strip())
    return parts, units


def bare_lengths(
    sample: Sequence[Sequence[Cell]], index: int, decimal: str, *, whole: bool
) -> NDArray[np.float64] | None:
    """Return the lengths of a column without units, NaN where a cell tells none.

    Parameters
    ----------
    sample : rows of cells
    index : int
        Place of the column.
    decimal : str
        Decimal sign of the file.
    whole : bool
        Whether a cell holds all three sides; only the first of two depths is taken.

    Returns
    -------
    ndarray, shape (rows, 1) or (rows, 3), or None if any cell has a unit
    """
    rows = []
    for row in sample:
        cell = row[index] if index < len(row) else None
        parts, units = _three_sides(tidy(as_text(cell))) if not is_nothing(cell) else ([], [])
        if any(units):
            return None
        told = [_bare_number(part, decimal) for part in parts[: 3 if whole else 1]]
        size = 3 if whole else 1
        rows.append(told if len(told) == size else [float("nan")] * size)
    return np.array(rows, dtype=float).reshape(len(rows), -1) if rows else None


def _bare_number(part: str, decimal: str) -> float:
    two = _TWO_DEPTHS.match(part)
    try:
        bare = two[1] if two and not _FRACTION.search(part) else _DASHED.sub(r"\1 \2", part)
        return number(bare, decimal=decimal)
    except QuantityError:
        return float("nan")


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
