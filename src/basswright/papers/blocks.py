"""What a paper is made of: headings, tables, tick lists, notices, figures.

A paper is a plain list of blocks. Each writer (PDF, HTML) knows how to show each kind
of block and nothing about the papers; each paper knows nothing about the writers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Align = Literal["left", "right", "center"]


@dataclass(frozen=True, kw_only=True)
class Heading:
    """A heading inside a paper."""

    text: str
    kind: Literal["heading"] = "heading"


@dataclass(frozen=True, kw_only=True)
class Text:
    """A paragraph; `keep` holds it on the page of what follows."""

    text: str
    lead: bool = False
    keep: bool = False
    kind: Literal["text"] = "text"


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Names with their values, in one or two columns."""

    rows: tuple[tuple[str, str], ...]
    columns: int = 2
    kind: Literal["facts"] = "facts"


@dataclass(frozen=True, kw_only=True)
class KeyFigures:
    """Two to four large figures, each with its name and a remark."""

    items: tuple[tuple[str, str, str], ...]
    kind: Literal["key-figures"] = "key-figures"


@dataclass(frozen=True, kw_only=True)
class Column:
    """Head of one column.

    `width` is a share of what is left, 0 for as wide as needed. In a `write_in` column an
    empty cell is a field to be written in by hand.
    """

    head: str
    align: Align = "left"
    width: float = 0.0
    write_in: bool = False


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows under heads; `foot` holds sums, the last of them the one that counts."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    foot: tuple[tuple[str, str], ...] = ()
    note: str = ""
    kind: Literal["table"] = "table"


@dataclass(frozen=True, kw_only=True)
class Checklist:
    """Things to do, each with a box to tick; numbered where the order matters."""

    items: tuple[str, ...]
    numbered: bool = False
    columns: int = 1
    kind: Literal["checklist"] = "checklist"


@dataclass(frozen=True, kw_only=True)
class Points:
    """A plain list."""

    items: tuple[str, ...]
    kind: Literal["points"] = "points"


@dataclass(frozen=True, kw_only=True)
class Notice:
    """Something that must not be overlooked."""

    title: str
    items: tuple[str, ...]
    level: Literal["danger", "caution", "note"] = "caution"
    kind: Literal["notice"] = "notice"


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One drawing or chart. `figure` names an entry of the document's figures.

    With a width it is to scale and shown in its true size, else as wide as there is room
    for within the height.
    """

    figure: str
    caption: str
    alt: str
    height_mm: float = 70.0
    width_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Figures:
    """Figures side by side."""

    items: tuple[Figure, ...]
    kind: Literal["figures"] = "figures"


@dataclass(frozen=True, kw_only=True)
class Blanks:
    """Lines to write on, each with its name."""

    labels: tuple[str, ...]
    columns: int = 2
    kind: Literal["blanks"] = "blanks"


@dataclass(frozen=True, kw_only=True)
class Signatures:
    """Places to sign: (who, under the line)."""

    items: tuple[tuple[str, str], ...]
    kind: Literal["signatures"] = "signatures"


Block = (
    Heading
    | Text
    | Facts
    | KeyFigures
    | Table
    | Checklist
    | Points
    | Notice
    | Figures
    | Blanks
    | Signatures
)


@dataclass(frozen=True, kw_only=True)
class Running:
    """What stands at the top and foot of every page of a paper."""

    workshop: str
    logo: str
    logo_alt: str
    top: tuple[str, ...]
    foot_left: str
    page_of: str = field(metadata={"placeholders": ("page", "pages")})


@dataclass(frozen=True, kw_only=True)
class Paper:
    """One paper, ready to be set; `language` is the one that its words are in."""

    name: str
    language: str
    title: str
    subtitle: str
    running: Running
    blocks: tuple[Block, ...]
