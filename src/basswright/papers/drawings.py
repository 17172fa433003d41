"""Drawings from other rooms: checked before they are shown, printed in their true size."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final
from xml.etree import ElementTree

from basswright.errors import InputError
from basswright.papers.facts import FigureFacts

#: Names that a drawing may have, in the order in which they are shown.
DRAWINGS: Final = ("plan", "side", "rear")

_LARGEST_DRAWING: Final = 5_000_000


def drawn(drawings: Mapping[str, str]) -> tuple[FigureFacts, ...]:
    """Return the drawings of a job in the order in which they are shown.

    Parameters
    ----------
    drawings : mapping of str to str
        SVG text by name, see :data:`DRAWINGS`.

    Raises
    ------
    InputError
        An unknown name, or what is no SVG, or too large, or defines entities.
    """
    for name in drawings:
        if name not in DRAWINGS:
            raise InputError(
                "unknown drawing", field="drawings", value=name, allowed=", ".join(DRAWINGS)
            )
    return tuple(
        FigureFacts(
            name=name,
            svg=checked_svg(name, drawings[name]),
            size_mm=_size_mm(drawings[name]),
        )
        for name in DRAWINGS
        if name in drawings
    )


def _size_mm(svg: str) -> tuple[float, float] | None:
    root = ElementTree.fromstring(svg)
    sides = (root.get("width", ""), root.get("height", ""))
    if all(re.fullmatch(r"\d+(\.\d+)?mm", side) for side in sides):
        width, height = (float(side.removesuffix("mm")) for side in sides)
        return width, height
    return None


def checked_svg(name: str, svg: str) -> str:
    """Return a drawing that can be shown.

    Raises
    ------
    InputError
        No SVG, larger than 5 MB, or with entities of its own.
    """
    field = f"drawings.{name}"
    if len(svg) > _LARGEST_DRAWING:
        raise InputError("drawing larger than 5 MB", field=field)
    if "<!ENTITY" in svg:
        raise InputError("a drawing may not define entities", field=field)
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        raise InputError(f"not a drawing: {error}", field=field, allowed="SVG text") from error
    if not root.tag.endswith("svg"):
        raise InputError("not a drawing", field=field, value=root.tag, allowed="SVG text")
    return svg
