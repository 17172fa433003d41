"""What became of a supplier's sheet, row by row: fit to be shown, and to be sent back."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Literal

from basswright.catalogue.contents import read_back
from basswright.catalogue.sheets.harmless import harmless
from basswright.catalogue.sheets.mapping import SheetMapping
from basswright.database.kinds import Item
from basswright.errors import InputError, InputErrors

Fate = Literal["accepted", "accepted with a remark", "refused"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Note:
    """Why a row was refused, or what was remarked: where, what was read, what is allowed.

    `row` is the number that a spreadsheet shows; 0 where the whole file is meant.
    """

    fate: Fate
    row: int
    column: str
    problem: str
    read: str = ""
    allowed: str = ""

    def as_error(self) -> InputError:
        """Return the same as an error."""
        return InputError(
            self.problem,
            item=f"row {self.row}",
            field=self.column,
            value=self.read or None,
            allowed=self.allowed,
        )


@dataclass(frozen=True, kw_only=True)
class SheetReport:
    """What became of a sheet.

    Attributes
    ----------
    file, kind, sha256, encoding : str
    mapping : SheetMapping
        What each column was taken to tell.
    rows : int
        Rows with something in them, heading excluded.
    accepted, remarked, refused : int
        They add up to `rows`.
    notes : tuple of Note
        Every remark and every reason for a refusal (the first `MOST_NOTES`).
    assumptions : tuple of str
        What was assumed for whole columns or the whole file.
    contents : tuple of str
        Accepted records as they are kept; see `records`.
    row_numbers : tuple of int
        Row of each accepted record.
    """

    file: str
    kind: str
    sha256: str
    encoding: str
    mapping: SheetMapping
    rows: int
    accepted: int
    remarked: int
    refused: int
    notes: tuple[Note, ...] = ()
    assumptions: tuple[str, ...] = ()
    contents: tuple[str, ...] = field(default=(), repr=False)
    row_numbers: tuple[int, ...] = field(default=(), repr=False)

    @cached_property
    def records(self) -> tuple[Item, ...]:
        """The accepted records, those with a remark included, in the order of the sheet."""
        return read_back(self.kind, self.contents)

    @property
    def unused_columns(self) -> tuple[str, ...]:
        """Heads of the columns that tell nothing that can be kept."""
        return tuple(head for head in self.mapping.unused if head)

    def raise_if_refused(self) -> None:
        """Raise if any row was refused.

        Raises
        ------
        InputErrors
            With every reason.
        """
        if self.refused:
            errors = [note.as_error() for note in self.notes if note.fate == "refused"]
            raise InputErrors(errors, item=self.file)

    def summary(self) -> str:
        """Return the outcome in one sentence."""
        return (
            f"{self.file}: {self.rows} rows, {self.accepted} accepted, "
            f"{self.remarked} accepted with a remark, {self.refused} refused"
        )

    def write_csv(self, path: Path) -> None:
        """Write the notes as a table that can be sent back to the supplier."""
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(["row", "outcome", "column", "problem", "read", "allowed"])
            for note in self.notes:
                cells = (note.fate, note.column, note.problem, note.read, note.allowed)
                writer.writerow([note.row, *map(harmless, cells)])


#: Most notes that a report holds, so that a file of nonsense cannot fill the memory.
MOST_NOTES = 20_000
