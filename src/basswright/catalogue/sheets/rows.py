"""Puts the cells of a row together as a record, or says why that cannot be done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError

from basswright.catalogue.contents import record_of, written
from basswright.catalogue.sheets.cells import (
    Cell,
    Told,
    as_text,
    is_nothing,
    needs_unit,
    rating,
    tell,
    units_of,
)
from basswright.catalogue.sheets.known import Known
from basswright.catalogue.sheets.mapping import ColumnMapping, SheetMapping
from basswright.catalogue.sheets.report import Note
from basswright.catalogue.sheets.targets import Target, targets
from basswright.database.kinds import Item
from basswright.errors import InputError

_RATING_TARGET: Final = re.compile(r"^ratings@(\S+) ohm( bridged)?$")
_BARE: Final = re.compile(r"^[+-]?[\d.,' /]+$")
#: Cells remembered per column; suppliers repeat themselves.
_MEMORY: Final = 50_000


@dataclass(slots=True)
class _Column:
    mapping: ColumnMapping
    target: Target
    index: int
    memory: dict[Cell, Told | InputError | None] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One row as read: its record (None: refused) and what has to be said about it."""

    number: int
    record: Item | None
    content: str
    notes: list[Note]


class RowReader:
    """Reads the rows of one sheet.

    Parameters
    ----------
    mapping : SheetMapping
    decimal : str
        Decimal sign of the file, empty if it shows none.
    known : Known
        What the catalogue holds: a row about it may leave out what it does not change.
    """

    def __init__(self, mapping: SheetMapping, decimal: str, known: Known) -> None:
        told = targets(mapping.kind)
        self.kind = mapping.kind
        self.decimal = decimal
        self.known = known
        self.record = record_of(mapping.kind)
        self.required = [target for target in told.values() if target.required]
        self.names = {target.path: target.name for target in told.values()}
        self.columns: list[_Column] = []
        self.ratings: list[tuple[ColumnMapping, float, bool]] = []
        for column in mapping.columns:
            at_load = _RATING_TARGET.match(column.target or "")
            if at_load:
                self.ratings.append((column, float(at_load[1]), bool(at_load[2])))
            elif column.target:
                self.columns.append(_Column(column, told[column.target], column.index))
        self.heads = {column.target.name: column.mapping.head for column in self.columns}

    def read(self, number: int, cells: Sequence[Cell]) -> Row:
        """Read one row; `number` is what a spreadsheet shows beside it."""
        values: dict[str, Any] = {}
        notes: list[Note] = []
        unread: set[str] = set()
        width = len(cells)
        for column in self.columns:
            cell = cells[column.index] if column.index < width else None
            if cell is None or cell == "":
                continue
            told = column.memory[cell] if cell in column.memory else self._told(column, cell)
            if told is None:
                continue
            if isinstance(told, InputError):
                notes.append(_refusal(number, column.mapping.head, told))
                unread.add(column.target.name)
                continue
            for path, value in told.values:
                if len(path) == 1:
                    values[path[0]] = value
                else:
                    values.setdefault(path[0], {})[path[1]] = value
            if told.remark:
                notes.append(_remark(number, column.mapping.head, told.remark, as_text(cell)))
            if told.note:
                values["remarks"] = (*values.get("remarks", ()), told.note)
        notes += self._read_ratings(number, cells, values)
        values = self._with_known(number, values, notes)
        missing = self._completed(number, values)
        notes += [n for n in missing if n.fate != "refused" or not self._explained(n, unread)]
        if any(note.fate == "refused" for note in notes):
            return Row(number=number, record=None, content="", notes=notes)
        try:
            record = self.record.model_validate(values)
        except ValidationError as error:
            notes += [self._problem(number, problem) for problem in error.errors(include_url=False)]
            return Row(number=number, record=None, content="", notes=notes)
        return Row(number=number, record=record, content=written(record), notes=notes)

    def _told(self, column: _Column, cell: Cell) -> Told | InputError | None:
        """Read a cell that was not met before in this column; None if it tells nothing."""
        told: Told | InputError | None = None
        if not is_nothing(cell):
            try:
                told = tell(column.target, cell, unit=column.mapping.unit, decimal=self.decimal)
            except InputError as error:
                told = self._with_hint(column, cell, error)
        if len(column.memory) < _MEMORY:
            column.memory[cell] = told
        return told

    def _with_hint(self, column: _Column, cell: Cell, error: InputError) -> InputError:
        bare = needs_unit(column.target) and _BARE.match(as_text(cell))
        if not bare or column.mapping.unit:
            return error
        return InputError(
            "the unit is missing; it can stand in the cell, in the column's head or in the mapping",
            value=error.value,
            allowed=units_of(column.target),
        )

    def _with_known(self, number: int, values: dict[str, Any], notes: list[Note]) -> dict[str, Any]:
        """Complete a row from the known thing that it is about, if it is about one."""
        id_ = self.known.id_of(values)
        if id_ is None:
            return values
        if values.get("id", id_) != id_:
            problem = f"maker and model are known as {id_}; that id was kept"
            notes.append(_remark(number, "id", problem, str(values["id"])))
        return self.known.completed(id_, {**values, "id": id_})

    def _read_ratings(
        self, number: int, cells: Sequence[Cell], values: dict[str, Any]
    ) -> list[Note]:
        lines = list(values.get("ratings", ()))
        notes: list[Note] = []
        plain = "single" if values.get("channels") == 1 else "per-channel"
        for column, load, bridged in self.ratings:
            cell = cells[column.index] if column.index < len(cells) else None
            if is_nothing(cell):
                continue
            mode = "bridged" if bridged else plain
            try:
                line = rating(mode, load, cell, unit=column.unit, decimal=self.decimal)
                lines.append(line)
            except InputError as error:
                notes.append(_refusal(number, column.head, error))
        if lines:
            values["ratings"] = tuple(lines)
        return notes

    def _completed(self, number: int, values: dict[str, Any]) -> list[Note]:
        """Fill in what follows from the rest, and name what is missing."""
        notes: list[Note] = []
        if self.kind == "enclosures":
            notes += _shape(number, values)
            notes += _terminals(number, values)
        if self.kind == "amplifiers":
            notes += _lowest_load(number, values)
        if self.kind == "cables" and not ("series" in values and "size" in values):
            notes.append(_missing(number, "conductor"))
        for target in self.required:
            if not _has(values, target.path):
                notes.append(_missing(number, self.heads.get(target.name, target.name)))
        if "id" not in values and "maker" in values and "model" in values:
            values["id"] = made_up_id(values["maker"], values["model"])
        return notes

    def _explained(self, note: Note, unread: set[str]) -> bool:
        """Return whether something is missing because its cell could not be read."""
        by = {"shape": "dimensions", "ratings": "ratings", "conductor": "conductor"}
        heads = {self.heads[name] for name in unread}
        return (
            note.column in unread
            or note.column in heads
            or by.get(note.column.partition(".")[0]) in unread
            or (note.column in ("ratings", "lowest_load") and bool(self.ratings))
        )

    def _problem(self, number: int, problem: Any) -> Note:
        path = tuple(str(part) for part in problem["loc"] if part not in ("cuboid", "wedge"))
        name = self.names.get(path, ".".join(path))
        given = problem["input"]
        return Note(
            fate="refused",
            row=number,
            column=self.heads.get(name, name),
            problem=_lower_first(problem["msg"]),
            read=""
            if isinstance(given, dict | tuple)
            else f"{given:.6g}"
            if isinstance(given, float)
            else str(given),
            allowed=_unit_of(path),
        )


def made_up_id(maker: str, model: str) -> str:
    """Return an id made of maker and model, for sheets that have none."""
    both = re.sub(r"[\W_]+", "-", f"{maker} {model}".casefold()).strip("-")
    return both[:80] or "nameless"


def _shape(number: int, values: dict[str, Any]) -> list[Note]:
    shape = values.setdefault("shape", {})
    two = "depth_bottom_m" in shape and "depth_top_m" in shape
    if two and shape["depth_bottom_m"] == shape["depth_top_m"]:
        shape["depth_m"] = shape.pop("depth_bottom_m")
        del shape["depth_top_m"]
        two = False
    if two:
        shape.pop("depth_m", None)
    elif "depth_m" in shape:
        lone = {"depth_bottom_m", "depth_top_m"} & set(shape)
        if lone:
            shape.setdefault("depth_bottom_m", shape["depth_m"])
            shape.setdefault("depth_top_m", shape["depth_m"])
            del shape["depth_m"]
            two = True
    shape["form"] = "wedge" if two else "cuboid"
    needed = ["width_m", "height_m", *(("depth_bottom_m",) if two else ("depth_m",))]
    return [_missing(number, f"shape.{name[:-2]}") for name in needed if name not in shape]


def _terminals(number: int, values: dict[str, Any]) -> list[Note]:
    """Complete pairs of terminals from coils taken in parallel, or leave them out."""
    told = values.get("terminals")
    if not isinstance(told, dict):
        return []
    pairs, each = told.get("pairs"), told.get("load_ohm")
    coils = [r for r in values.get("remarks", ()) if str(r).startswith(f"{pairs} coils of ")]
    if each is None and pairs and coils and values.get("load_ohm"):
        told["load_ohm"] = float(f"{values['load_ohm'] * pairs:.12g}")
    elif pairs == 1 or each is None or pairs is None:
        del values["terminals"]
        if pairs != 1:
            problem = "pairs of terminals count only with the load at each; not used"
            return [_remark(number, "terminals", problem, str(pairs or each))]
    return []


def _lowest_load(number: int, values: dict[str, Any]) -> list[Note]:
    if not values.get("ratings"):
        return [_missing(number, "ratings")]
    if "lowest_load_ohm" in values:
        return []
    plain = [line["load_ohm"] for line in values["ratings"] if line["mode"] != "bridged"]
    if not plain:
        return [_missing(number, "lowest_load")]
    values["lowest_load_ohm"] = min(plain)
    values["origins"] = {
        "lowest_load_ohm": {"kind": "estimated", "note": "the lowest load with a power rating"}
    }
    remark = f"not given; the lowest rated load, {min(plain):g} ohm, was taken"
    return [_remark(number, "lowest_load", remark, "")]


def _has(values: dict[str, Any], path: tuple[str, ...]) -> bool:
    for name in path:
        if not isinstance(values, dict) or name not in values:
            return len(path) > 1 and name != path[-1] and path[0] not in ("driver", "shape")
        values = values[name]
    return True


def _missing(number: int, column: str) -> Note:
    return Note(fate="refused", row=number, column=column, problem="missing; it is required")


def _refusal(number: int, column: str, error: InputError) -> Note:
    return Note(
        fate="refused",
        row=number,
        column=column,
        problem=error.problem,
        read="" if error.value is None else str(error.value)[:80],
        allowed=error.allowed,
    )


def _remark(number: int, column: str, remark: str, read: str) -> Note:
    return Note(
        fate="accepted with a remark", row=number, column=column, problem=remark, read=read[:80]
    )


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def _unit_of(path: tuple[str, ...]) -> str:
    from basswright.quantities import kind_of

    return f"in {path[-1].rsplit('_', 1)[-1]}" if path and kind_of(path[-1]) else ""
