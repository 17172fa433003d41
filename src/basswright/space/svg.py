"""Lines, hatching, text and dimension lines of a technical drawing, as SVG on paper.

All lengths are millimetres on paper, y downwards. Lines, arrows and lettering in the
manner of ISO 128-2 and ISO 129-1: thin dimension lines, filled arrowheads, the figure
above its line, to be read from below or from the right.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from math import atan2, degrees, hypot

Spot = tuple[float, float]

INK = "#111"
PALE = "#8a8a8a"
ACCENT = "#b3261e"
THICK, MEDIUM, THIN = 0.5, 0.35, 0.18
LETTER = 3.0
_ARROW = 2.4
_LETTER_WIDTH = 0.58  # of the letter height, for a plain sans serif


def text_width(text: str, size: float = LETTER) -> float:
    """Return about how wide a text is on paper [mm]."""
    return _LETTER_WIDTH * size * len(text)


def fits_between(size: float, text: str) -> bool:
    """Say whether a figure goes between the arrowheads of a dimension of that size."""
    return size >= text_width(text) + 2 * _ARROW + 0.6


@dataclass
class Sheet:
    """Collects marks and the room that they take, then writes them as one SVG."""

    marks: list[str] = field(default_factory=list)
    low: list[float] = field(default_factory=lambda: [float("inf")] * 2)
    high: list[float] = field(default_factory=lambda: [float("-inf")] * 2)

    def cover(self, *spots: Spot) -> None:
        """Let the sheet reach at least to these spots."""
        for spot in spots:
            for axis in range(2):
                self.low[axis] = min(self.low[axis], spot[axis])
                self.high[axis] = max(self.high[axis], spot[axis])

    def line(
        self, start: Spot, end: Spot, *, width: float = THIN, ink: str = INK, dash: str = ""
    ) -> None:
        """Draw a straight line."""
        self.cover(start, end)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.marks.append(
            f'<line x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}"'
            f' stroke="{ink}" stroke-width="{width}"{dashed}/>'
        )

    def polygon(
        self, spots: list[Spot], *, width: float = MEDIUM, fill: str = "none", ink: str = INK
    ) -> None:
        """Draw a closed outline."""
        self.cover(*spots)
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in spots)
        self.marks.append(
            f'<polygon points="{points}" fill="{fill}" stroke="{ink}" stroke-width="{width}"'
            ' stroke-linejoin="round"/>'
        )

    def circle(
        self,
        centre: Spot,
        radius: float,
        *,
        fill: str = "#fff",
        ink: str = INK,
        width: float = THIN,
    ) -> None:
        """Draw a circle."""
        self.cover(
            (centre[0] - radius, centre[1] - radius), (centre[0] + radius, centre[1] + radius)
        )
        self.marks.append(
            f'<circle cx="{centre[0]:.2f}" cy="{centre[1]:.2f}" r="{radius:.2f}" fill="{fill}"'
            f' stroke="{ink}" stroke-width="{width}"/>'
        )

    def text(
        self,
        spot: Spot,
        text: str,
        *,
        size: float = LETTER,
        anchor: str = "middle",
        turn: float = 0.0,
        ink: str = INK,
        bold: bool = False,
    ) -> None:
        """Write a text with its base line at `spot`; it keeps a white rim to stay legible."""
        half = text_width(text, size) / 2
        shift = {"start": half, "middle": 0.0, "end": -half}[anchor]
        reach = (0.35 * size, half) if turn else (half, 0.35 * size)
        middle = (spot[0], spot[1] - shift) if turn else (spot[0] + shift, spot[1] - 0.35 * size)
        self.cover(
            (middle[0] - reach[0], middle[1] - reach[1]),
            (middle[0] + reach[0], middle[1] + reach[1]),
        )
        turned = f' transform="rotate({turn:.1f} {spot[0]:.2f} {spot[1]:.2f})"' if turn else ""
        weight = ' font-weight="bold"' if bold else ""
        self.marks.append(
            f'<text x="{spot[0]:.2f}" y="{spot[1]:.2f}" font-size="{size}" fill="{ink}"'
            f' text-anchor="{anchor}" stroke="#fff" stroke-width="0.8" paint-order="stroke"'
            f' stroke-linejoin="round"{weight}{turned}>{escape(text)}</text>'
        )

    def arrow(self, tip: Spot, toward: Spot, *, ink: str = INK, size: float = _ARROW) -> None:
        """Draw a filled arrowhead at `tip`, pointing along `toward`."""
        length = hypot(*toward)
        ux, uy = toward[0] / length, toward[1] / length
        back = (tip[0] - size * ux, tip[1] - size * uy)
        side = size * 0.16
        spots = [
            tip,
            (back[0] - side * uy, back[1] + side * ux),
            (back[0] + side * uy, back[1] - side * ux),
        ]
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in spots)
        self.marks.append(f'<polygon points="{points}" fill="{ink}"/>')

    def dimension(
        self,
        start: Spot,
        end: Spot,
        text: str,
        *,
        ink: str = INK,
        outward: float = 1.0,
        width: float = THIN,
        bold: bool = False,
    ) -> None:
        """Draw a dimension line with its figure above.

        Where the figure does not go between the arrowheads, they come from outside and
        the figure stands beyond `end`, or beyond `start` where `outward` is negative, and
        at least that far away.
        """
        dx, dy = end[0] - start[0], end[1] - start[1]
        size = hypot(dx, dy)
        ux, uy = (dx / size, dy / size) if size > 1e-6 else (1.0, 0.0)
        turn = degrees(atan2(uy, ux))
        if turn > 89.0 or turn <= -91.0:
            turn -= 180.0
        turn = -90.0 if abs(turn + 270) < 1 else turn
        length = text_width(text)
        lift = (uy * 0.9, -ux * 0.9) if ux > 0.01 else (-abs(uy) * 0.9, ux * 0.9)
        if fits_between(size, text):
            self.line(start, end, ink=ink, width=width)
            self.arrow(end, (ux, uy), ink=ink)
            self.arrow(start, (-ux, -uy), ink=ink)
            at = ((start[0] + end[0]) / 2 + lift[0], (start[1] + end[1]) / 2 + lift[1])
        else:
            tail = _ARROW * 1.6
            clear = max(abs(outward), _ARROW + 0.8)
            beyond = length + clear + 0.4
            first, last = (tail, beyond) if outward > 0 else (beyond, tail)
            self.line(
                (start[0] - first * ux, start[1] - first * uy),
                (end[0] + last * ux, end[1] + last * uy),
                ink=ink,
                width=width,
            )
            self.arrow(start, (ux, uy), ink=ink)
            self.arrow(end, (-ux, -uy), ink=ink)
            middle = clear + length / 2
            foot, way = (end, middle) if outward > 0 else (start, -middle)
            at = (foot[0] + way * ux + lift[0], foot[1] + way * uy + lift[1])
        self.text(at, text, turn=turn if abs(turn) > 0.5 else 0.0, ink=ink, bold=bold)

    def document(self, *, title: str, margin: float = 5.0, real_size: bool = True) -> str:
        """Return the sheet as an SVG document, at its size on paper."""
        x, y = self.low[0] - margin, self.low[1] - margin
        width, height = self.high[0] - x + margin, self.high[1] - y + margin
        size = f' width="{width:.2f}mm" height="{height:.2f}mm"' if real_size else ""
        body = "\n".join(self.marks)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg"{size}'
            f' viewBox="{x:.2f} {y:.2f} {width:.2f} {height:.2f}" role="img"'
            ' font-family="Helvetica, Arial, sans-serif">\n'
            f"<title>{escape(title)}</title>\n"
            '<defs><pattern id="hatch" width="1.8" height="1.8" patternUnits="userSpaceOnUse"'
            ' patternTransform="rotate(45)"><rect width="1.8" height="1.8" fill="#fff"/>'
            '<line x1="0" y1="0" x2="0" y2="1.8" stroke="#777" stroke-width="0.25"/>'
            "</pattern></defs>\n"
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}"'
            ' fill="#fff"/>\n'
            f"{body}\n</svg>\n"
        )
