"""Finds the heading of a table: one row, or two where a merged row groups the columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from basswright.catalogue.sheets.cells import Cell, as_text
from basswright.catalogue.sheets.mapping import SheetMapping, guess

#: How many rows at the top of a sheet may come before the heading.
SEARCHED_ROWS = 25


@dataclass(frozen=True, kw_only=True)
class Heading:
    """The heading that was found: how many rows it takes up with all above it."""

    rows: int
    mapping: SheetMapping


def find(
    kind: str, top: Sequence[Sequence[Cell]], remembered: dict[str, str | None] | None = None
) -> Heading | None:
    """Return the heading whose columns make most sense, or None if none does.

    A row counts as a heading if at least two of its columns tell something. Two rows
    are joined if that makes more sense than the lower of them alone.
    """
    best: Heading | None = None
    best_score = 1.5
    for i, row in enumerate(top[:SEARCHED_ROWS]):
        texts = _texts(row)
        if sum(map(bool, texts)) < 2:
            continue
        groups = _filled(_texts(top[i - 1])) if i > 0 else []
        for above in ([], groups) if any(groups) else ([],):
            mapping = guess(kind, texts, above=above, remembered=remembered)
            score = _score(mapping)
            if score > best_score + 0.01:
                best, best_score = Heading(rows=i + 1, mapping=mapping), score
    return best


def _texts(row: Sequence[Cell]) -> list[str]:
    return ["" if cell is None else " ".join(as_text(cell).split()) for cell in row]


def _filled(groups: Sequence[str]) -> list[str]:
    """Give every column the text of the merged cell above it (its first cell holds it)."""
    filled: list[str] = []
    for group in groups:
        filled.append(group or (filled[-1] if filled else ""))
    return filled


def _score(mapping: SheetMapping) -> float:
    """Count the columns that tell something; a guess counts less, an empty one nothing."""
    sure = sum(0.01 * column.score for column in mapping.columns if column.target)
    units = sum(bool(column.unit) for column in mapping.columns)
    unclear = sum(bool(column.head) for column in mapping.columns if not column.target)
    return sure - 0.05 * unclear + 0.02 * units
