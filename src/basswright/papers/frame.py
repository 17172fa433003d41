"""Where a point of a printed chart stands, and the strokes and words that it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

#: Family of the words in a chart; the papers are set in the same.
FONT: Final = "Fira Sans, Noto Sans, DejaVu Sans, sans-serif"

INK: Final = "#1c2529"
SOFT: Final = "#5b676d"
GRID: Final = "#d5dbde"

#: Room beside the field for the numbers and names of the axes.
LEFT, RIGHT, TOP, BOTTOM = 52.0, 14.0, 14.0, 46.0


@dataclass(frozen=True, kw_only=True)
class Frame:
    """The field of a chart: which frequency and level lie where."""

    span_hz: tuple[float, float]
    low: float
    high: float
    right: float
    foot: float

    def x(self, frequency_hz: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Return how far from the left edge a frequency lies."""
        first, last = self.span_hz
        share = np.log(np.asarray(frequency_hz) / first) / np.log(last / first)
        return np.asarray(LEFT + share * (self.right - LEFT))

    def y(self, level: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """Return how far from the upper edge a level lies."""
        share = (np.asarray(level) - self.low) / (self.high - self.low)
        return np.asarray(self.foot - share * (self.foot - TOP))


def stroke(
    x0: float, y0: float, x1: float, y1: float, colour: str, width: float, *, dash: str = ""
) -> str:
    """Return a straight line."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}" '
        f'stroke="{colour}" stroke-width="{width}"{dashes}/>'
    )


def words(x: float, y: float, text: str, *, anchor: str, halo: bool = False) -> str:
    """Return words, with white around them where they stand on lines."""
    behind = ' stroke="#ffffff" stroke-width="3.5" stroke-linejoin="round"' if halo else ""
    front = f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{INK}">'
    back = front.replace(f' fill="{INK}"', f' fill="#ffffff"{behind}') if halo else ""
    shown = escape(text)
    return f"{back}{shown}</text>{front}{shown}</text>" if halo else f"{front}{shown}</text>"
