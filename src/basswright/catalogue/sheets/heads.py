"""Finds the heading of a table: one row, or two where a merged row groups the columns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from basswright.catalogue.sheets.cells import Cell, as_text
from basswright.catalogue.sheets.head_units import unit_in
from basswright.catalogue.sheets.mapping import SheetMapping, guess
from basswright.catalogue.sheets.targets import targets

#: How many rows at the top of a sheet may come before the heading.
SEARCHED_ROWS = 25


@dataclass(frozen=True, kw_only=True)
class Heading:
    """The heading that was found: how many rows it takes up with all above it.

    `score` tells how much sense it makes, `texts` are the cells of its main row.
    """

    rows: int
    mapping: SheetMapping
    score: float = 0.0
    texts: tuple[str, ...] = ()


def find(
    kind: str, top: Sequence[Sequence[Cell]], remembered: dict[str, str | None] | None = None
) -> Heading | None:
    """Return the heading whose columns make most sense, or None if none does.

    A row counts as a heading if at least two of its columns tell something. Two rows
    are joined if that makes more sense than the lower of them alone. A row of nothing but
    units right beneath it belongs to it.
    """
    best: Heading | None = None
    best_score = 1.5
    for i, row in enumerate(top[:SEARCHED_ROWS]):
        texts = _texts(row)
        if sum(map(bool, texts)) < 2:
            continue
        groups = _filled(_texts(top[i - 1])) if i > 0 else []
        units = _units(_texts(top[i + 1])) if i + 1 < len(top) else []
        named = _with_units(texts, units)
        for above in ([], groups) if any(groups) else ([],):
            mapping = guess(kind, named, above=above, remembered=remembered)
            score = _score(mapping)
            if score > best_score + 0.01:
                rows = i + (2 if units else 1)
                best = Heading(rows=rows, mapping=mapping, score=score, texts=tuple(texts))
                best_score = score
    return best


def sense(kind: str) -> Callable[[Sequence[Sequence[Cell]]], float]:
    """Return how to tell how much sense the top of a table makes for a kind of thing.

    What a record cannot do without counts most; of amplifiers that is a power at a load.
    """
    needed = {target.name for target in targets(kind).values() if target.required}

    def score(top: Sequence[Sequence[Cell]]) -> float:
        found = find(kind, top)
        if found is None:
            return 0.0
        told = {
            column.target.partition("@")[0] for column in found.mapping.columns if column.target
        }
        return found.score + 10 * len(told & (needed | {"ratings"}))

    return score


def is_again(heading: Heading, row: Sequence[Cell]) -> bool:
    """Tell whether a row is the heading once more, as at the top of a printed page."""
    texts = _texts(row)
    told = [text for text in heading.texts if text]
    return len(told) > 1 and [text for text in texts if text] == told


def _units(texts: Sequence[str]) -> list[str]:
    """Return the units that a row consists of; none if anything else stands in it."""
    told = [text for text in texts if text]
    units = [unit_in(text) for text in texts]
    return units if len(told) > 1 and sum(map(bool, units)) == len(told) else []


def _with_units(texts: Sequence[str], units: Sequence[str]) -> list[str]:
    """Put the units of the row beneath to the heads that have none."""
    return [
        f"{text} [{units[i]}]" if text and i < len(units) and units[i] else text
        for i, text in enumerate(texts)
    ]


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
