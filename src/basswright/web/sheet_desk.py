"""Supplier sheets that somebody is looking at: uploaded, mapped, read, taken in.

A sheet stays here from its upload until it is taken in or the server stops; long work
goes on in a thread of its own and tells how far it is. Nothing of it touches the
catalogue before the last step, which is all or nothing.
"""

from __future__ import annotations

import re
import secrets
import shutil
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from basswright.errors import BasswrightError, ConflictError, InputError, NotFoundError
from basswright.records.base import Record

if TYPE_CHECKING:
    from basswright.catalogue.intake import ImportResult
    from basswright.catalogue.sheets import SheetMapping, SheetReport
    from basswright.catalogue.store import Catalogue

#: Endings of the files that are taken.
ENDINGS: Final = (".csv", ".tsv", ".txt", ".xlsx", ".json")
#: Sheets kept at once; the one that was left alone longest makes room.
_MOST: Final = 6
_TOP_ROWS: Final = 60
_EXAMPLES: Final = 2

Step = Literal["columns", "reading", "read", "taking", "taken"]


class Sheet(Record):
    """What a person told of an uploaded sheet."""

    kind: str
    supplier: str
    name: str


@dataclass(kw_only=True)
class OpenSheet:
    """One sheet that is being looked at.

    Attributes
    ----------
    token : str
        Its address.
    about : Sheet
    file : Path
        In a folder of its own.
    mapping : SheetMapping
        What its columns are taken to tell.
    examples : list of list of str
        The first cells with something in them, one list a column.
    step : str
        How far it is: "columns", "reading", "read", "taking" or "taken".
    done, expected : int
        Rows, while it is read.
    problem : str
        Why the last step could not be done.
    """

    token: str
    about: Sheet
    file: Path
    mapping: SheetMapping
    examples: list[list[str]]
    step: Step = "columns"
    done: int = 0
    expected: int = 0
    problem: str = ""
    report: SheetReport | None = None
    result: ImportResult | None = None
    lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    @property
    def is_working(self) -> bool:
        """Say whether a step is under way."""
        return self.step in ("reading", "taking")

    @property
    def share(self) -> float:
        """Return how much of the rows is done, 0 to 1."""
        return min(1.0, self.done / self.expected) if self.expected else 0.0

    def told(self, done: int, expected: int) -> None:
        """Note how far the reading is."""
        self.done, self.expected = done, expected


class SheetDesk:
    """The sheets that are being looked at.

    Parameters
    ----------
    catalogue : Catalogue
        Where they are taken in.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._open: OrderedDict[str, OpenSheet] = OrderedDict()
        self._lock = threading.Lock()

    def open(self, about: Sheet, content: bytes) -> OpenSheet:
        """Put a sheet on the desk and guess what its columns tell.

        Raises
        ------
        InputError, TooLargeError
            No such kind of file, no heading, beyond the limits of the reader.
        """
        suffix = Path(about.name.lower()).suffix
        if suffix not in ENDINGS:
            raise InputError("no sheet", field="file", value=suffix, allowed=", ".join(ENDINGS))
        folder = Path(tempfile.mkdtemp(prefix="basswright-sheet-"))
        try:
            file = folder / safe_name(about.name)
            file.write_bytes(content)
            mapping, examples = self._columns(file, about)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
        sheet = OpenSheet(
            token=secrets.token_hex(8), about=about, file=file, mapping=mapping, examples=examples
        )
        with self._lock:
            self._open[sheet.token] = sheet
            idle = [each for each in self._open.values() if not each.is_working]
            for old in idle[: max(0, len(self._open) - _MOST)]:
                self._open.pop(old.token)
                shutil.rmtree(old.file.parent, ignore_errors=True)
        return sheet

    def get(self, token: str) -> OpenSheet:
        """Return a sheet; NotFoundError when it is no longer on the desk."""
        with self._lock:
            if token not in self._open:
                raise NotFoundError("sheet", token[:20])
            self._open.move_to_end(token)
            return self._open[token]

    def read(self, sheet: OpenSheet, corrections: dict[str, str | None]) -> None:
        """Read every row with corrected columns, beside; the catalogue stays as it is.

        Raises
        ------
        InputErrors
            A correction names a column, target or unit that is not known, or two
            columns tell the same.
        ConflictError
            The sheet is being worked on.
        """
        mapping = sheet.mapping.corrected(corrections)

        def work() -> None:
            from basswright.catalogue.sheets import read_sheet

            about = sheet.about
            sheet.report = read_sheet(
                sheet.file,
                kind=about.kind,
                mapping=mapping,
                known=self.catalogue.known(about.kind),
                progress=sheet.told,
            )
            if about.supplier:
                self.catalogue.remember_mapping(about.supplier, mapping)
            sheet.step = "read"

        sheet.mapping = mapping
        self._start(sheet, "reading", "columns", work)

    def take(self, sheet: OpenSheet, *, partial: bool) -> None:
        """Take a sheet that was read into the catalogue, beside.

        Raises
        ------
        ConflictError
            The sheet is being worked on, or was not read.
        """
        if sheet.report is None:
            raise ConflictError("the sheet has to be read before it is taken in")

        def work() -> None:
            sheet.result = self.catalogue.import_sheet(
                sheet.file,
                kind=sheet.about.kind,
                supplier=sheet.about.supplier,
                mapping=sheet.mapping,
                partial=partial,
                progress=sheet.told,
            )
            sheet.step = "taken"

        self._start(sheet, "taking", "read", work)

    def _start(
        self, sheet: OpenSheet, step: Step, after_failure: Step, work: Callable[[], None]
    ) -> None:
        with sheet.lock:
            if sheet.is_working:
                raise ConflictError("the sheet is being worked on; wait until that is done")
            sheet.step, sheet.problem, sheet.done, sheet.expected = step, "", 0, 0

        def run() -> None:
            try:
                work()
            except BasswrightError as error:
                sheet.problem, sheet.step = str(error), after_failure
            except Exception:
                sheet.problem = "something went wrong in the program; the catalogue is as it was"
                sheet.step = after_failure
                raise

        threading.Thread(target=run, daemon=True, name=f"sheet {sheet.token}").start()

    def _columns(self, file: Path, about: Sheet) -> tuple[SheetMapping, list[list[str]]]:
        from basswright.catalogue.sheets import heads, show_mapping
        from basswright.catalogue.sheets.cells import as_text, is_nothing
        from basswright.catalogue.sheets.files import open_table

        remembered = self.catalogue.remembered_mapping(about.supplier, about.kind)
        mapping = show_mapping(file, kind=about.kind, remembered=remembered)
        top = list(islice(open_table(file).rows, _TOP_ROWS))
        found = heads.find(about.kind, top, remembered)
        rows = top[found.rows :] if found else []
        examples = []
        for column in mapping.columns:
            cells = (row[column.index] for row in rows if column.index < len(row))
            texts = (as_text(cell) for cell in cells if not is_nothing(cell))
            examples.append([text[:40] for text in islice(texts, _EXAMPLES)])
        return mapping, examples


def safe_name(name: str) -> str:
    """Return what may stand on a disk of the name of an uploaded file."""
    last = re.split(r"[\\/]", name)[-1]
    stem, _, ending = last.rpartition(".")
    stem = re.sub(r"[^\w -]", "-", stem)[:80].strip(" -") or "sheet"
    return f"{stem}.{ending.lower()}"
