"""Writes things of the catalogue as CSV that can be read back, and opened without harm."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel

from basswright.catalogue.sheets.harmless import harmless
from basswright.catalogue.sheets.targets import Target, targets
from basswright.database.kinds import Item
from basswright.quantities import UNITS

#: Unit in which each kind of quantity is written.
_UNIT: Final = {
    "length": "mm",
    "area": "cm2",
    "volume": "L",
    "mass": "kg",
    "resistance": "ohm",
    "load": "ohm",
    "power": "W",
    "current": "A",
    "voltage": "V",
    "frequency": "Hz",
    "level": "dB",
    "capacity": "Ah",
    "time": "h",
    "inductance": "mH",
    "temperature": "C",
    "force factor": "Tm",
    "force": "N",
    "share": "%",
}
_PLAIN_NUMBERS: Final = ("number", "whole", "money")


def write_xlsx(path: Path, kind: str, items: Iterable[Item]) -> int:
    """Write the same table as :func:`write_csv` as a workbook; no cell is a formula."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    columns = [target for target in targets(kind).values() if target.path]
    book = Workbook(write_only=True)
    sheet = book.create_sheet(kind)
    sheet.append([_head(target) for target in columns])
    written = 0
    for item in items:
        row: list[Any] = []
        for target in columns:
            text = ILLEGAL_CHARACTERS_RE.sub(" ", _cell(target, _value(item, target.path)))
            cell = WriteOnlyCell(sheet, value=text or None)
            cell.data_type = "s" if text else "n"
            is_number = target.reads in _UNIT or target.reads in _PLAIN_NUMBERS
            row.append(float(text) if text and is_number else cell)
        sheet.append(row)
        written += 1
    book.save(path)
    return written


def write_csv(path: Path, kind: str, items: Iterable[Item]) -> int:
    """Write things of one kind as CSV (UTF-8), one row each; return how many.

    Column heads are the targets of :mod:`.targets` with their unit in brackets, so that
    the file is read back without any guess.
    """
    columns = [target for target in targets(kind).values() if target.path]
    written = 0
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([_head(target) for target in columns])
        for item in items:
            writer.writerow([_cell(target, _value(item, target.path)) for target in columns])
            written += 1
    return written


def _head(target: Target) -> str:
    unit = _UNIT.get(target.reads)
    return f"{target.name} [{unit}]" if unit else target.name


def _value(item: BaseModel, path: tuple[str, ...]) -> Any:
    value: Any = item
    for name in path:
        value = getattr(value, name, None)
        if value is None:
            return None
    return value


def _cell(target: Target, value: Any) -> str:
    if value is None:
        return ""
    if target.reads == "ratings":
        return "; ".join(f"{r.mode} {r.load_ohm:g} ohm {r.power_w:.12g} W" for r in value)
    if target.reads == "texts":
        return harmless("; ".join(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return harmless(value)
    unit = _UNIT.get(target.reads)
    if unit is None:
        return f"{value:.12g}"
    reads = "resistance" if target.reads == "load" else target.reads
    units = UNITS[reads]
    factor = units.get(unit, units.get(unit.lower(), 1.0))
    return f"{value / factor:.12g}"
