"""Writes the papers of a job into a folder."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from basswright.errors import InputError
from basswright.papers.blocks import Paper
from basswright.papers.facts import PapersContext
from basswright.papers.pen import Pen, pen
from basswright.papers.sheets.acceptance import acceptance
from basswright.papers.sheets.customer import customer
from basswright.papers.sheets.fitting import fitting
from basswright.papers.sheets.quote import quote
from basswright.papers.sheets.tuning import tuning

#: The papers of a job, in the order in which they are needed.
SHEETS: Final[tuple[Callable[[Pen], Paper], ...]] = (
    quote,
    fitting,
    tuning,
    customer,
    acceptance,
)

#: What the papers can be written as.
FORMATS: Final = ("pdf", "html")


def papers(context: PapersContext) -> tuple[Paper, ...]:
    """Return the papers of a job, ready to be set."""
    writer = pen(context)
    return tuple(sheet(writer) for sheet in SHEETS)


def write(
    context: PapersContext, folder: Path, *, formats: Sequence[str] = ("pdf",)
) -> tuple[Path, ...]:
    """Write every paper of a job into a folder, and the figures beside them.

    Parameters
    ----------
    context : PapersContext
        From :func:`basswright.papers.context`.
    folder : Path
        Made if it does not exist; files of the same names are replaced.
    formats : sequence of str
        Any of "pdf" and "html".

    Returns
    -------
    tuple of Path
        The papers, each in every format, then the figures.

    Raises
    ------
    InputError
        An unknown format.
    """
    for name in formats:
        if name not in FORMATS:
            raise InputError("unknown format", field="formats", value=name, allowed=str(FORMATS))
    drawn = {figure.name: figure.svg for figure in context.figures}
    made: dict[str, bytes] = {}
    for paper in papers(context):
        for name in formats:
            made[f"{paper.name}.{name}"] = _bytes(paper, context, drawn, name)
    for name, svg in drawn.items():
        made[f"figure-{name}.svg"] = svg.encode()
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in made.items():
        (folder / name).write_bytes(content)
    return tuple(folder / name for name in made)


def _bytes(paper: Paper, context: PapersContext, drawn: dict[str, str], form: str) -> bytes:
    if form == "pdf":
        from basswright.papers.typesetting import pdf

        return pdf(paper, context.head, drawn)
    from basswright.papers.pages import html

    return html(paper, context.head, drawn).encode()
