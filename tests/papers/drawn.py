"""Reads a drawing back: its words as boxes, its lines, and where they run into each other."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import combinations
from xml.etree import ElementTree

#: Height of capitals, depth of tails and width of a letter, by the size of the letters; on
#: the wide side for a plain sans serif.
_CAPITAL, _TAIL, _WIDE = 0.72, 0.12, 0.55


@dataclass(frozen=True)
class Words:
    """A text and the room that it takes."""

    text: str
    left: float
    top: float
    right: float
    foot: float

    def meets(self, other: Words) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.foot
            and other.top < self.foot
        )

    def stands_round(self, spot: tuple[float, float]) -> bool:
        return self.left < spot[0] < self.right and self.top < spot[1] < self.foot

    def is_crossed(self, line: tuple[float, float, float, float]) -> bool:
        """Tell whether a line runs through the text, clipped side by side (Liang-Barsky)."""
        x, y, x1, y1 = line
        enter, leave = 0.0, 1.0
        for way, start, low, high in (
            (x1 - x, x, self.left, self.right),
            (y1 - y, y, self.top, self.foot),
        ):
            if abs(way) < 1e-9:
                if not low < start < high:
                    return False
                continue
            one, two = sorted(((low - start) / way, (high - start) / way))
            enter, leave = max(enter, one), min(leave, two)
        return enter < leave


def words_of_svg(svg: str) -> list[Words]:
    """Return every text of a drawing with its room; upright ones turned a quarter to the left."""
    found = []
    for element in _all(svg, "text"):
        size, text = float(element.get("font-size", "3")), element.text or ""
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        wide = _WIDE * size * len(text)
        before = {"start": 0.0, "middle": wide / 2, "end": wide}[
            element.get("text-anchor", "start")
        ]
        turned = re.match(r"rotate\((-?[\d.]+)", element.get("transform", ""))
        if turned and abs(float(turned[1]) + 90) < 1:
            box = (x - _CAPITAL * size, y - wide + before, x + _TAIL * size, y + before)
        else:
            box = (x - before, y - _CAPITAL * size, x - before + wide, y + _TAIL * size)
        found.append(Words(text, *box))
    return found


def lines_of_svg(svg: str) -> list[tuple[float, float, float, float]]:
    """Return every straight line of a drawing."""
    return [
        (
            float(element.get("x1", "0")),
            float(element.get("y1", "0")),
            float(element.get("x2", "0")),
            float(element.get("y2", "0")),
        )
        for element in _all(svg, "line")
    ]


def clashes(svg: str) -> list[str]:
    """Return which texts of a drawing run into each other or are crossed by a line.

    The number in a balloon stands on the balloon's own white.
    """
    balloons = [(float(c.get("cx", "0")), float(c.get("cy", "0"))) for c in _all(svg, "circle")]
    lines = lines_of_svg(svg)
    words = [one for one in words_of_svg(svg) if not any(map(one.stands_round, balloons))]
    found = [f"{a.text} | {b.text}" for a, b in combinations(words, 2) if a.meets(b)]
    found += [f"{a.text} | {line}" for a in words for line in lines if a.is_crossed(line)]
    return found


def outside(svg: str) -> list[str]:
    """Return which texts reach beyond the edge of a drawing."""
    root = ElementTree.fromstring(svg)
    left, top, width, height = map(float, root.get("viewBox", "").split())
    return [
        one.text
        for one in words_of_svg(svg)
        if one.left < left - 0.1
        or one.top < top - 0.1
        or one.right > left + width + 0.1
        or one.foot > top + height + 0.1
    ]


def _all(svg: str, name: str) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(svg)
    pattern = {id(inside) for defs in _in(root, "defs") for inside in defs.iter()}
    return [element for element in _in(root, name) if id(element) not in pattern]


def _in(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [e for e in root.iter() if str(e.tag).rpartition("}")[2] == name]
