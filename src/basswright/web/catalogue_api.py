"""A supplier's sheet for other shop software: read, reported on, taken in."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from pydantic import BaseModel, Field

from basswright.errors import InputError
from basswright.web.api import PROBLEMS
from basswright.web.catalogue_pages import doubts_of, sheet_of
from basswright.web.desk import Desk
from basswright.web.pages import desk_of
from basswright.web.sheet_desk import ENDINGS, safe_name

if TYPE_CHECKING:
    from basswright.catalogue.changes import Changes
    from basswright.catalogue.sheets import SheetReport

router: Final = APIRouter(prefix="/api/catalogue")

Kind = Literal[
    "enclosures",
    "amplifiers",
    "cables",
    "fuses",
    "fuse_holders",
    "batteries",
    "alternators",
    "fixings",
]


class NoteLine(BaseModel):
    """Why a row was refused, or what was remarked."""

    row: int
    outcome: str
    column: str
    problem: str
    read: str
    allowed: str


class SheetAnswer(BaseModel):
    """What became of a sheet."""

    rows: int
    accepted: int
    remarked: int
    refused: int
    columns: dict[str, str | None] = Field(description="head -> what it was taken to tell")
    assumptions: list[str]
    notes: list[NoteLine]
    taken_in: bool
    added: int = 0
    changed: int = 0
    same: int = 0


class DoubtLine(BaseModel):
    """Figures of one data sheet that do not go together."""

    id: str
    rule: str
    severity: str
    text: str


@router.post("/sheets", responses=PROBLEMS)
async def sheet(
    request: Request,
    file: Annotated[UploadFile, File(description="CSV, TSV, XLSX or JSON, up to 63 MB")],
    kind: Annotated[Kind, Form()] = "enclosures",
    supplier: Annotated[
        str, Form(max_length=80, description="whose sheet; its columns are kept")
    ] = "",
    columns: Annotated[
        str, Form(max_length=40_000, description='JSON: {"head": "target [unit]" or null}')
    ] = "{}",
    check: Annotated[bool, Form(description="only tell what would be taken")] = False,
    partial: Annotated[
        bool, Form(description="take good rows although others are refused")
    ] = False,
) -> SheetAnswer:
    """Take a sheet in: all rows or none, unless `partial`; known things are updated."""
    content = await sheet_of(file, kind)
    corrections = _corrections(columns)
    name = safe_name(file.filename or "")
    if Path(name).suffix not in ENDINGS:
        raise InputError("no sheet", field="file", value=name, allowed=", ".join(ENDINGS))

    def work() -> SheetAnswer:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / name
            path.write_bytes(content)
            how = {"kind": kind, "supplier": supplier, "mapping": corrections}
            desk = desk_of(request)
            return _checked(desk, path, how) if check else _taken(desk, path, how, partial=partial)

    return await run_in_threadpool(work)


@router.get("/doubts")
def doubts(
    request: Request, most: Annotated[int, Query(ge=1, le=10_000)] = 1000
) -> list[DoubtLine]:
    """Tell which data sheets contradict physics, with the figures that clash."""
    return [
        DoubtLine(id=each.id, rule=each.rule, severity=each.severity, text=each.sentence)
        for each in doubts_of(desk_of(request))[:most]
    ]


def _corrections(text: str) -> dict[str, str | None]:
    try:
        found = json.loads(text)
    except ValueError as error:
        raise InputError("no JSON", field="columns", value=text[:80]) from error
    is_plain = isinstance(found, dict) and all(
        each is None or isinstance(each, str) for each in found.values()
    )
    if not is_plain:
        allowed = 'an object such as {"Breite": "shape.width [mm]", "Artikel": null}'
        raise InputError("no columns", field="columns", value=text[:80], allowed=allowed)
    return dict(found)


def _checked(desk: Desk, path: Path, how: dict[str, Any]) -> SheetAnswer:
    from basswright.catalogue.sheets import read_sheet

    found = read_sheet(
        path,
        kind=how["kind"],
        mapping=how["mapping"],
        remembered=desk.catalogue.remembered_mapping(how["supplier"], how["kind"]),
        known=desk.catalogue.known(how["kind"]),
    )
    return _answer(found, None)


def _taken(desk: Desk, path: Path, how: dict[str, Any], *, partial: bool) -> SheetAnswer:
    result = desk.catalogue.import_sheet(path, partial=partial, **how)
    return _answer(result.report, result.changes)


def _answer(found: SheetReport, changes: Changes | None) -> SheetAnswer:
    return SheetAnswer(
        rows=found.rows,
        accepted=found.accepted,
        remarked=found.remarked,
        refused=found.refused,
        columns=found.mapping.remembered(),
        assumptions=list(found.assumptions),
        notes=[
            NoteLine(
                row=note.row,
                outcome=note.fate,
                column=note.column,
                problem=note.problem,
                read=note.read,
                allowed=note.allowed,
            )
            for note in found.notes
        ],
        taken_in=changes is not None,
        added=len(changes.added) if changes else 0,
        changed=len(changes.changed) if changes else 0,
        same=changes.same if changes else 0,
    )
