"""Catalogue: what can be bought, what is doubtful in it, and a supplier's sheet taken in."""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse, Response

from basswright.errors import ConflictError, InputError, InputErrors, TooLargeError
from basswright.web.desk import Desk
from basswright.web.pages import desk_of, page, part
from basswright.web.sheet_desk import ENDINGS, OpenSheet, Sheet

if TYPE_CHECKING:
    from basswright.catalogue.plausibility import Clash
    from basswright.catalogue.sheets import Note, SheetReport

router: Final = APIRouter()

LARGEST_SHEET: Final = 63_000_000
#: Kind of thing -> its name on the pages.
KINDS: Final = {
    "enclosures": "boxes",
    "amplifiers": "amplifiers",
    "cables": "cables",
    "fuses": "fuses",
    "fuse_holders": "fuse holders",
    "batteries": "batteries",
    "alternators": "alternators",
    "fixings": "fixings",
}
_MOST_DOUBTS: Final = 60
_MOST_NOTES: Final = 40
_MOST_COLUMNS: Final = 400
_ROWS_TOLD: Final = 5


@router.get("/catalogue")
def catalogue(request: Request) -> Response:
    """Show how much there is to choose from, and the sheets that were taken in."""
    desk = desk_of(request)
    return page(
        request,
        "catalogue.html",
        counts=[(KINDS[kind], count) for kind, count in desk.catalogue.counts().items()],
        past=desk.catalogue.past_imports()[:20],
        kinds=KINDS,
        endings=",".join(ENDINGS),
    )


@router.get("/catalogue/doubts")
def doubts(request: Request, text: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Show the data sheets whose figures do not go together."""
    desk = desk_of(request)
    clashes = doubts_of(desk)
    words = text.lower().split()
    found = [each for each in clashes if all(word in _words_of(each) for word in words)]
    return part(
        request,
        "parts/doubts.html",
        clashes=found[:_MOST_DOUBTS],
        found=len(found),
        by_severity=Counter(each.severity for each in clashes),
        text=text,
    )


@router.post("/catalogue/sheets")
async def upload(
    request: Request,
    file: UploadFile,
    kind: Annotated[str, Form(max_length=20)] = "enclosures",
    supplier: Annotated[str, Form(max_length=80)] = "",
) -> Response:
    """Take a sheet on the desk and show what its columns are taken to tell."""
    content = await sheet_of(file, kind)
    about = Sheet(kind=kind, supplier=" ".join(supplier.split()), name=file.filename or "")
    sheet = await run_in_threadpool(desk_of(request).sheets.open, about, content)
    return RedirectResponse(f"/catalogue/sheets/{sheet.token}", status_code=303)


@router.get("/catalogue/sheets/{token}")
def sheet(request: Request, token: str) -> Response:
    """Show a sheet: its columns, how far it is read, what became of its rows."""
    return _shown(request, desk_of(request).sheets.get(token))


@router.get("/catalogue/sheets/{token}/state")
def state(request: Request, token: str) -> Response:
    """Show how far a sheet is; the whole page anew once it is done."""
    found = desk_of(request).sheets.get(token)
    if found.is_working:
        return part(request, "parts/sheet_progress.html", sheet=found)
    response = Response(status_code=204)
    response.headers["HX-Refresh"] = "true"
    return response


@router.post("/catalogue/sheets/{token}/read")
async def read(request: Request, token: str) -> Response:
    """Read every row by the columns as they were corrected."""
    sheets = desk_of(request).sheets
    found = sheets.get(token)
    form = await request.form()
    told = {key: str(value)[:120] for key, value in form.items()}
    try:
        await run_in_threadpool(sheets.read, found, corrections(found, told))
    except InputErrors as error:
        return _shown(request, found, problems=[str(each) for each in error.errors])
    return RedirectResponse(f"/catalogue/sheets/{token}", status_code=303)


@router.post("/catalogue/sheets/{token}/take")
def take(
    request: Request, token: str, partial: Annotated[bool, Form()] = False
) -> RedirectResponse:
    """Take the rows into the catalogue."""
    sheets = desk_of(request).sheets
    sheets.take(sheets.get(token), partial=partial)
    return RedirectResponse(f"/catalogue/sheets/{token}", status_code=303)


@router.get("/catalogue/sheets/{token}/report.csv")
def report(request: Request, token: str) -> Response:
    """Give every remark and refusal as a table that can be sent back to the supplier."""
    found = desk_of(request).sheets.get(token)
    if found.report is None:
        raise ConflictError("the sheet has to be read before there is a report")
    return Response(
        report_csv(found.report),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="sheet-report.csv"'},
    )


async def sheet_of(file: UploadFile, kind: str) -> bytes:
    """Return the content of an uploaded sheet, refused by kind and size.

    Raises
    ------
    InputError, TooLargeError
    """
    if kind not in KINDS:
        raise InputError(
            "no such kind of thing", field="kind", value=kind, allowed=", ".join(KINDS)
        )
    content = await file.read(LARGEST_SHEET + 1)
    if len(content) > LARGEST_SHEET:
        raise TooLargeError(f"the sheet: more than {LARGEST_SHEET / 1e6:.0f} MB")
    return content


def report_csv(found: SheetReport) -> bytes:
    """Return the notes of a report as CSV."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "report.csv"
        found.write_csv(path)
        return path.read_bytes()


def corrections(sheet: OpenSheet, told: Mapping[str, str]) -> dict[str, str | None]:
    """Return what a person changed in the columns: head -> target with unit, or None."""
    found: dict[str, str | None] = {}
    for column in sheet.mapping.columns[:_MOST_COLUMNS]:
        target = told.get(f"target-{column.index}")
        if target is None or not column.head:
            continue
        unit = told.get(f"unit-{column.index}", "").strip()
        if target == (column.target or "") and unit == column.unit:
            continue
        found[column.head] = (f"{target} [{unit}]" if unit else target) if target else None
    return found


def doubts_of(desk: Desk) -> tuple[Clash, ...]:
    """Return every clash of the catalogue's data sheets, contradictions first."""
    from basswright.catalogue import plausibility

    def make() -> tuple[Clash, ...]:
        snapshot = desk.catalogue.snapshot()
        reports = (
            plausibility.check(snapshot.enclosures),
            plausibility.check_amplifiers(snapshot.amplifiers),
        )
        clashes = [clash for report in reports for clash in report.clashes]
        return tuple(sorted(clashes, key=lambda each: (each.severity != "contradiction", each.id)))

    return desk.kept(("doubts", desk.catalogue_revision()), make)


def _words_of(clash: Clash) -> str:
    return f"{clash.id} {clash.rule} {clash.severity} {clash.sentence}".lower()


def _shown(request: Request, sheet: OpenSheet, *, problems: list[str] | None = None) -> Response:
    told = sheet.report
    return page(
        request,
        "sheet.html",
        sheet=sheet,
        kind=KINDS[sheet.about.kind],
        targets=_targets(sheet.about.kind),
        problems=problems or ([sheet.problem] if sheet.problem else []),
        missing=_missing(sheet),
        notes=grouped(told.notes)[:_MOST_NOTES] if told else [],
        units=_units(),
    )


@dataclass(frozen=True, kw_only=True)
class NoteGroup:
    """Notes of one kind: the first of them, how many there are, and where."""

    first: Note
    count: int
    rows: str


def grouped(notes: Sequence[Note]) -> list[NoteGroup]:
    """Return the notes that say the same as one, refusals first, the most frequent first."""
    groups: dict[tuple[str, str, str], list[Note]] = {}
    for note in notes:
        groups.setdefault((note.fate, note.column, note.problem), []).append(note)
    ordered = sorted(groups.values(), key=lambda each: (each[0].fate != "refused", -len(each)))
    return [
        NoteGroup(
            first=each[0],
            count=len(each),
            rows=", ".join(str(note.row) for note in each[:_ROWS_TOLD])
            + (" …" if len(each) > _ROWS_TOLD else ""),
        )
        for each in ordered
    ]


def _missing(sheet: OpenSheet) -> list[str]:
    """Return what a new thing needs and no column tells."""
    told = {column.target for column in sheet.mapping.columns}
    names = [name for name, _, required in _targets(sheet.about.kind) if required]
    return [name.replace("_", " ").replace(".", ": ") for name in names if name not in told]


def _targets(kind: str) -> list[tuple[str, str, bool]]:
    from basswright.catalogue.sheets.targets import targets

    return [(each.name, each.meaning, each.required) for each in targets(kind).values()]


def _units() -> list[str]:
    from basswright.quantities import UNITS

    lists: dict[str, Any] = UNITS
    return sorted({unit for units in lists.values() for unit in units if unit}, key=str.lower)
