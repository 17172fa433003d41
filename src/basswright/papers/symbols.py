"""Circuit symbols in the manner of IEC 60617, drawn on a sheet in millimetres on paper."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from basswright.space.svg import MEDIUM, THICK, Sheet, Spot, text_width

#: Height of the letters and distance of their lines [mm].
LETTER_MM: Final = 2.6
LINE_MM: Final = 3.5


def wire(sheet: Sheet, *spots: Spot) -> None:
    """Draw a conductor through these places."""
    for start, end in pairwise(spots):
        sheet.line(start, end, width=MEDIUM)


def junction(sheet: Sheet, at: Spot) -> None:
    """Mark where conductors are joined."""
    sheet.circle(at, 0.7, fill="#111")


def terminal(sheet: Sheet, at: Spot) -> None:
    """Draw a terminal."""
    sheet.circle(at, 0.9, width=MEDIUM)


def fuse(sheet: Sheet, at: Spot, *, upright: bool = False) -> None:
    """Draw a fuse with its middle at a place: 10 mm long, 3.4 mm wide."""
    x, y = at
    half = (1.7, 5.0) if upright else (5.0, 1.7)
    sheet.polygon(_rectangle((x - half[0], y - half[1]), (x + half[0], y + half[1])), width=MEDIUM)
    wire(sheet, *(((x, y - 5), (x, y + 5)) if upright else ((x - 5, y), (x + 5, y))))


def battery(sheet: Sheet, at: Spot) -> None:
    """Draw two cells one above the other, plus on top: 6 mm high."""
    x, y = at
    for top in (y - 3.0, y + 1.0):
        sheet.line((x - 4, top), (x + 4, top), width=MEDIUM)
        sheet.line((x - 2, top + 2), (x + 2, top + 2), width=THICK)
    sheet.line((x, y - 1.0), (x, y + 1.0), width=MEDIUM, dash="0.6 0.5")


def generator(sheet: Sheet, at: Spot) -> None:
    """Draw an alternator: a circle of 8 mm with its letter."""
    sheet.circle(at, 4.0, width=MEDIUM)
    sheet.text((at[0], at[1] + 1.3), "G", size=3.6)


def body(sheet: Sheet, at: Spot) -> None:
    """Draw the joint to the body: a bar with three strokes."""
    x, y = at
    sheet.line((x - 3, y), (x + 3, y), width=MEDIUM)
    for foot in (-3.0, 0.0, 3.0):
        sheet.line((x + foot, y), (x + foot - 1.5, y + 2.4), width=MEDIUM)


def loudspeaker(sheet: Sheet, at: Spot) -> None:
    """Draw a loudspeaker, the middle of its back at a place: 6 mm wide, 12 mm high."""
    x, y = at
    sheet.polygon(_rectangle((x, y - 3), (x + 2.2, y + 3)), width=MEDIUM)
    horn = [(x + 2.2, y - 3), (x + 6, y - 6), (x + 6, y + 6), (x + 2.2, y + 3)]
    sheet.polygon(horn, width=MEDIUM)


def case(sheet: Sheet, low: Spot, high: Spot) -> None:
    """Draw the outline of a device."""
    sheet.polygon(_rectangle(low, high), width=MEDIUM, fill="#fff")


def lines(
    sheet: Sheet, at: Spot, texts: tuple[str, ...], *, anchor: str = "middle", bold: bool = False
) -> None:
    """Write lines of text one below the other, the base of the first at a place."""
    for place, text in enumerate(texts):
        spot = (at[0], at[1] + LINE_MM * place)
        sheet.text(spot, text, size=LETTER_MM, anchor=anchor, bold=bold)


def wrapped(text: str, room_mm: float) -> tuple[str, ...]:
    """Return a text in lines that fit a width; a word too long for it is broken."""
    most = max(int(room_mm / text_width("x", LETTER_MM)), 1)
    found = [""]
    for word in text.split():
        pieces = [word[k : k + most] for k in range(0, len(word), most)]
        for piece in pieces:
            if found[-1] and len(found[-1]) + 1 + len(piece) > most:
                found.append("")
            found[-1] = f"{found[-1]} {piece}".strip()
    return tuple(found)


def _rectangle(low: Spot, high: Spot) -> list[Spot]:
    return [low, (high[0], low[1]), high, (low[0], high[1])]
