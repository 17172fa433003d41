"""Reads a whole supplier's sheet and tells what became of every row."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path
from typing import Final

from basswright.catalogue.contents import record_of
from basswright.catalogue.plausibility import clashes_of
from basswright.catalogue.sheets import heads
from basswright.catalogue.sheets.cells import Cell, as_text, is_nothing, needs_unit, tell
from basswright.catalogue.sheets.files import Table, open_table
from basswright.catalogue.sheets.known import Known
from basswright.catalogue.sheets.lengths import with_likely_units
from basswright.catalogue.sheets.mapping import OBVIOUS_UNIT, SheetMapping
from basswright.catalogue.sheets.report import MOST_NOTES, Fate, Note, SheetReport
from basswright.catalogue.sheets.rows import Row, RowReader
from basswright.catalogue.sheets.stems import is_total
from basswright.catalogue.sheets.targets import Target, targets
from basswright.database.kinds import Item
from basswright.errors import InputError

#: Told now and then: rows done, rows expected.
Progress = Callable[[int, int], None]

_SAMPLE_ROWS: Final = 3000
#: Rows in which a guess of a column is tried, and how many times columns are dropped.
_TRIED_ROWS: Final = 60
_MOST_DROPPED: Final = 3
_PROGRESS_EVERY: Final = 1000
#: Records whose figures are held against one another together.
_CHECKED_AT_ONCE: Final = 4000
_COMMA = re.compile(r"^[+-]?\d+,(?:\d{1,2}|\d{4,})\b|\d\.\d{3},\d")
_POINT = re.compile(r"^[+-]?\d+\.(?:\d{1,2}|\d{4,})\b|\d,\d{3}\.\d")


def read_sheet(
    path: str | Path,
    *,
    kind: str,
    mapping: SheetMapping | Mapping[str, str | None] | None = None,
    remembered: Mapping[str, str | None] | None = None,
    known: Known | None = None,
    progress: Progress | None = None,
) -> SheetReport:
    """Read a supplier's sheet; no row stops the others.

    Parameters
    ----------
    path : str or Path
        A .csv, .tsv, .txt, .xlsx or .json file.
    kind : str
        What is in it: "enclosures", "amplifiers", "cables" and so on, as the fields of
        a snapshot are called.
    mapping : SheetMapping or mapping, optional
        What the columns tell, in whole or as corrections of the guess: head of a column
        -> name of a target with the unit of bare numbers (``"shape.width [mm]"``), or
        None to leave the column out.
    remembered : mapping, optional
        The same, from an earlier sheet of this supplier; heads that are not there now
        are passed over.
    known : Known, optional
        What the catalogue holds of this kind (:meth:`Catalogue.known`). A row about a
        known thing may leave out what it does not change: a price list needs no more
        than a number and a price.
    progress : callable, optional
        Called with the rows done and the rows expected.

    Returns
    -------
    SheetReport

    Raises
    ------
    InputError
        The file cannot be read at all, or no heading was found.
    InputErrors
        The mapping names columns or targets that are not there.
    TooLargeError
        Beyond the limits of :mod:`.files`.
    """
    record_of(kind)
    path = Path(path)
    table = open_table(path, sense=heads.sense(kind))
    top, found = _heading(path, kind, table, remembered)
    chosen = found.mapping
    if isinstance(mapping, SheetMapping):
        chosen = chosen.corrected(
            {h: t for h, t in mapping.remembered().items() if h in {c.head for c in chosen.columns}}
        )
    elif mapping is not None:
        chosen = chosen.corrected(mapping)
    sample = top[found.rows :]
    decimal = _decimal_sign(chosen, sample)
    chosen, units = with_likely_units(chosen, sample, decimal)
    reader = RowReader(chosen, decimal, known or Known())
    book = _Book()
    number = table.first_row + found.rows - 1
    for cells in chain(sample, table.rows):
        number += 1
        if len(cells) > cells.count("") + cells.count(None) and not heads.is_again(found, cells):
            book.enter(reader.read(number, cells), cells)
        if progress is not None and number % _PROGRESS_EVERY == 0:
            progress(number, max(table.expected, number))
    book.check()
    if progress is not None:
        progress(number, number)
    return SheetReport(
        file=path.name,
        kind=kind,
        sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
        encoding=table.encoding,
        mapping=chosen,
        rows=book.rows,
        accepted=book.accepted,
        remarked=book.remarked,
        refused=book.refused,
        notes=tuple(sorted(book.notes, key=lambda note: note.row)),
        assumptions=(*table.remarks, *units, *_assumptions(chosen, decimal, sample)),
        contents=tuple(book.contents),
        row_numbers=tuple(book.numbers),
    )


def show_mapping(
    path: str | Path, *, kind: str, remembered: Mapping[str, str | None] | None = None
) -> SheetMapping:
    """Return what the columns of a sheet would be taken to tell, without reading its rows.

    Raises
    ------
    InputError, TooLargeError
        As in :func:`read_sheet`.
    """
    path = Path(path)
    record_of(kind)
    return _heading(path, kind, open_table(path, sense=heads.sense(kind)), remembered)[1].mapping


def _heading(
    path: Path, kind: str, table: Table, remembered: Mapping[str, str | None] | None
) -> tuple[list[list[Cell]], heads.Heading]:
    top = list(islice(table.rows, _SAMPLE_ROWS))
    found = heads.find(kind, top, dict(remembered or {}))
    if found is None:
        needed = ", ".join(t.name for t in targets(kind).values() if t.required)
        raise InputError(
            f"no heading with names of columns for {kind} was found in the first "
            f"{heads.SEARCHED_ROWS} rows",
            item=path.name,
            allowed=f"a row with heads such as {needed}",
        )
    given = dict(remembered or {})
    for _ in range(_MOST_DROPPED):
        wrong = misguessed(found.mapping, top[found.rows :])
        again = heads.find(kind, top, given | dict.fromkeys(wrong)) if wrong else None
        if again is None:
            break
        given, found = given | dict.fromkeys(wrong), again
    return top, found


def misguessed(mapping: SheetMapping, sample: Sequence[Sequence[Cell]]) -> list[str]:
    """Return the heads of guessed columns of which most cells cannot be read as guessed."""
    known, wrong = targets(mapping.kind), []
    for column in mapping.guessed:
        target = known.get(column.target or "")
        cells = [row[column.index] for row in sample[:_TRIED_ROWS] if column.index < len(row)]
        told = [cell for cell in cells if not is_nothing(cell)]
        if target is None or not told:
            continue
        unit = column.unit or ("mm" if needs_unit(target) else "")
        failed = sum(not _readable(target, cell, unit) for cell in told)
        if 2 * failed > len(told):
            wrong.append(column.head)
    return wrong


def _readable(target: Target, cell: Cell, unit: str) -> bool:
    try:
        tell(target, cell, unit=unit, decimal="")
    except InputError as error:
        return "may be a decimal" in error.problem
    return True


@dataclass(slots=True)
class _Book:
    """Counts the rows, keeps what was accepted, and sees ids that come twice."""

    rows: int = 0
    accepted: int = 0
    remarked: int = 0
    refused: int = 0
    notes: list[Note] = field(default_factory=list)
    contents: list[str] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    unchecked: list[tuple[int, bool, Item]] = field(default_factory=list)

    def enter(self, row: Row, cells: Sequence[Cell]) -> None:
        if row.record is None:
            return self._without_record(row, [cell for cell in cells if not is_nothing(cell)])
        self.rows += 1
        before = self.seen.setdefault(row.record.id, len(self.contents))
        if before < len(self.contents):
            return self._twice(row, row.record.id, before)
        self.contents.append(row.content)
        self.numbers.append(row.number)
        self._note(row.notes)
        self.remarked += bool(row.notes)
        self.accepted += not row.notes
        self.unchecked.append((row.number, bool(row.notes), row.record))
        if len(self.unchecked) >= _CHECKED_AT_ONCE:
            self.check()
        return None

    def check(self) -> None:
        """Remark on rows whose figures contradict one another; they are taken in all the same."""
        clashes = clashes_of([record for _, _, record in self.unchecked])
        for number, remarked, record in self.unchecked:
            found = clashes.get(record.id, ())
            if found and not remarked:
                self.accepted -= 1
                self.remarked += 1
            self._note(
                [
                    _note("accepted with a remark", number, clash.fields[0], clash.sentence, "")
                    for clash in found
                ]
            )
        self.unchecked.clear()

    def _without_record(self, row: Row, filled: Sequence[Cell]) -> None:
        """Refuse a row; but one with one filled cell is a title, and an empty one is no row."""
        if not filled:
            return
        self.rows += 1
        if is_total(as_text(filled[0])):
            self.remarked += 1
            problem = "a line of totals; left out"
            self._note(
                [_note("accepted with a remark", row.number, "", problem, as_text(filled[0]))]
            )
        elif len(filled) > 1:
            self.refused += 1
            self._note([note for note in row.notes if note.fate == "refused"])
        else:
            self.remarked += 1
            problem = "one cell only: taken as a title between the rows"
            text = as_text(filled[0])
            self._note([_note("accepted with a remark", row.number, "", problem, text)])

    def _twice(self, row: Row, id_: str, before: int) -> None:
        first = self.numbers[before]
        if self.contents[before] == row.content:
            self.remarked += 1
            problem = f"the same as row {first}; taken once"
            self._note([_note("accepted with a remark", row.number, "id", problem, id_)])
        else:
            self.refused += 1
            problem = f"row {first} has this id already, with other data"
            self._note([_note("refused", row.number, "id", problem, id_)])

    def _note(self, notes: list[Note]) -> None:
        self.notes += notes[: MOST_NOTES - len(self.notes)]


def _note(fate: Fate, row: int, column: str, problem: str, read: str) -> Note:
    return Note(fate=fate, row=row, column=column, problem=problem, read=read[:80])


def _numeric_texts(mapping: SheetMapping, sample: Sequence[Sequence[Cell]]) -> Iterator[str]:
    known = targets(mapping.kind)
    plain = {"text", "texts", "choice", "flag", "conductor", "ratings"}
    indices = [
        column.index
        for column in mapping.columns
        if column.target and (column.target not in known or known[column.target].reads not in plain)
    ]
    for row in sample:
        for index in indices:
            if index < len(row) and isinstance(row[index], str):
                yield str(row[index]).strip()


def _decimal_sign(mapping: SheetMapping, sample: Sequence[Sequence[Cell]]) -> str:
    """Return the decimal sign that the file plainly uses, or nothing if it shows both."""
    comma = point = False
    for text in _numeric_texts(mapping, sample):
        comma = comma or bool(_COMMA.search(text))
        point = point or bool(_POINT.search(text))
        if comma and point:
            return ""
    return "," if comma else "." if point else ""


def _assumptions(
    mapping: SheetMapping, decimal: str, sample: Sequence[Sequence[Cell]]
) -> list[str]:
    known = targets(mapping.kind)
    found = []
    if decimal == ",":
        found.append("the comma is the decimal sign of this file")
    for column in mapping.columns:
        target = known.get(column.target or "")
        if target is None or column.unit or target.reads not in OBVIOUS_UNIT:
            continue
        cells = (row[column.index] for row in sample if column.index < len(row))
        if any(isinstance(c, int | float) or re.match(r"^[\d.,]+$", str(c or "")) for c in cells):
            unit = OBVIOUS_UNIT[target.reads]
            found.append(f"column {column.head!r}: bare numbers were taken as {unit}")
    for column in mapping.columns:
        if column.target and column.note:
            found.append(f"column {column.head!r}: {column.note}")
    for column in mapping.guessed:
        found.append(f"column {column.head!r} was taken as {column.target}")
    return found
