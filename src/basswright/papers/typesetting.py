"""From a paper to a PDF: the data goes to Typst as JSON, never as markup."""

from __future__ import annotations

import json
import re
from base64 import b64decode
from collections.abc import Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Final

from basswright.papers.blocks import Figures, Paper
from basswright.papers.facts import Head
from basswright.papers.logo import is_png, png_base64, room_mm

if TYPE_CHECKING:
    import typst
    from typst import PDFStandard

#: Family of every word in the papers and their drawings; its files come with a package.
FAMILY: Final = "Fira Sans"
_FONT_PACKAGE: Final = "fontpkg_fira_sans"

#: Archive form with text that can be read out: ISO 19005-2 level A and ISO 14289-1.
STANDARDS: Final[list[PDFStandard]] = ["a-2a", "ua-1"]

#: The typesetter serves one thread at a time.
_ONE_AT_A_TIME: Final = Lock()

_FAMILY_ATTRIBUTE: Final = re.compile(r"""font-family\s*=\s*("[^"]*"|'[^']*')""")
_STYLE: Final = re.compile(r"""style\s*=\s*("[^"]*"|'[^']*')|<style.*?</style>""", re.DOTALL)
_FAMILY_RULE: Final = re.compile(r"font-family\s*:[^;}]+")


def pdf(paper: Paper, head: Head, drawn: Mapping[str, str]) -> bytes:
    """Set one paper.

    Parameters
    ----------
    paper : Paper
    head : Head
        Size of the paper and day of issue.
    drawn : mapping of str to str
        SVG text of the figures, by name.

    Returns
    -------
    bytes
        A PDF, the same bytes for the same input.
    """
    issued = head.issued
    with _ONE_AT_A_TIME:
        made = _compiler().compile(
            format="pdf",
            sys_inputs={"data": _data(paper, head, drawn)},
            pdf_standards=STANDARDS,
            timestamp=datetime(issued.year, issued.month, issued.day, tzinfo=UTC),
        )
    return _pages(made)[0]


def pictures(
    paper: Paper, head: Head, drawn: Mapping[str, str], *, pixels_per_inch: float = 80.0
) -> tuple[bytes, ...]:
    """Set one paper as pictures, for a preview on a screen.

    Parameters
    ----------
    paper : Paper
    head : Head
    drawn : mapping of str to str
        SVG text of the figures, by name.
    pixels_per_inch : float
        Resolution.

    Returns
    -------
    tuple of bytes
        One PNG a page.
    """
    with _ONE_AT_A_TIME:
        made = _compiler().compile(
            format="png", ppi=pixels_per_inch, sys_inputs={"data": _data(paper, head, drawn)}
        )
    return tuple(_pages(made))


def _pages(made: bytes | list[bytes] | None) -> list[bytes]:
    return made if isinstance(made, list) else [made or b""]


def _data(paper: Paper, head: Head, drawn: Mapping[str, str]) -> str:
    used = {
        figure.figure
        for block in paper.blocks
        if isinstance(block, Figures)
        for figure in block.items
    }
    lang, _, region = paper.language.partition("-")
    issued = head.issued
    return json.dumps(
        {
            "paper": asdict(paper),
            "figures": {name: in_family(drawn[name]) for name in sorted(used)},
            "logo": _logo(head.logo),
            "paper_size": head.paper,
            "date": [issued.year, issued.month, issued.day],
            "lang": lang,
            "region": region or None,
            "fonts": [FAMILY, "Libertinus Serif", "DejaVu Sans Mono"],
        }
    )


def _logo(logo: str) -> dict[str, object] | None:
    """Return what the typesetter needs of a logo: content, kind and room [mm]."""
    if not logo:
        return None
    width_mm, height_mm = room_mm(logo)
    png = is_png(logo)
    content: str | list[int] = list(b64decode(png_base64(logo))) if png else logo
    return {
        "format": "png" if png else "svg",
        "content": content,
        "width_mm": width_mm,
        "height_mm": height_mm,
    }


def in_family(svg: str) -> str:
    """Return a drawing with all its words in the family of the papers."""
    svg = _FAMILY_ATTRIBUTE.sub(f'font-family="{FAMILY}"', svg)
    svg = _STYLE.sub(_styled, svg)
    return re.sub(r"<svg\b(?![^>]*font-family)", f'<svg font-family="{FAMILY}"', svg, count=1)


def _styled(style: re.Match[str]) -> str:
    """Change the family inside an attribute (its closing mark kept) or an element."""
    kept = 1 if style[1] else 0
    inside, end = style[0][: len(style[0]) - kept], style[0][len(style[0]) - kept :]
    return _FAMILY_RULE.sub(f"font-family:{FAMILY}", inside) + end


@cache
def _compiler() -> typst.Compiler:
    import typst

    spec = find_spec(_FONT_PACKAGE)
    places = list(spec.submodule_search_locations or ()) if spec else []
    fonts = typst.Fonts(
        include_system_fonts=False, font_paths=[Path(place) / "files" for place in places]
    )
    folder = Path(str(files("basswright.papers") / "templates"))
    return typst.Compiler(folder / "paper.typ", root=folder, font_paths=fonts)
