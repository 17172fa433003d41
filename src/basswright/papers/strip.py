"""Stretches of frequency under a printed chart, with the key to their letters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from basswright.papers.frame import BOTTOM, INK, LEFT, Frame, words

_TINTS: Final = ("#ffffff", "#c3ced4", "#e4eaed", "#a9b8c0", "#f2f5f6", "#d3dbe0")
_KEY_ROW: Final = 20.0


@dataclass(frozen=True, kw_only=True)
class Strip:
    """What holds over stretches of frequency: (low Hz, high Hz, which of `names`).

    Each stretch carries the letter of its name; a key under the chart gives the names.
    """

    stretches: tuple[tuple[float, float, int], ...]
    names: tuple[str, ...]


def seen(strip: Strip, span_hz: tuple[float, float]) -> Strip:
    """Return the stretches as far as the chart shows them."""
    cut = (
        (max(low_hz, span_hz[0]), min(high_hz, span_hz[1]), which)
        for low_hz, high_hz, which in strip.stretches
    )
    return Strip(stretches=tuple(one for one in cut if one[1] > one[0] * 1.005), names=strip.names)


def _letters(strip: Strip) -> dict[int, str]:
    """Return the letter of each name, in the order in which they are met."""
    met = dict.fromkeys(which for _, _, which in strip.stretches)
    return dict(zip(met, "abcdefghijklmnopqrstuvwxyz", strict=False))


def drawn(frame: Frame, strip: Strip) -> list[str]:
    """Return the stretches with their letters, and the key below the axis."""
    parts, letters = [], _letters(strip)
    for low_hz, high_hz, which in strip.stretches:
        x0, x1 = frame.x(np.array([low_hz, high_hz])).tolist()
        parts.append(_tinted(x0, frame.foot - 20, x1 - x0, 20, which))
        if x1 - x0 > 14:
            parts.append(words((x0 + x1) / 2, frame.foot - 5.5, letters[which], anchor="middle"))
    return [*parts, *_key(frame, strip)]


def _key(frame: Frame, strip: Strip) -> list[str]:
    parts, top = [], frame.foot + BOTTOM + 15
    letters = _letters(strip)
    for which, x, down in _key_places(strip, frame.right):
        y = top + down
        parts.append(_tinted(x, y - 12, 17, 15, which))
        parts.append(words(x + 8.5, y, letters[which], anchor="middle"))
        parts.append(words(x + 23, y, strip.names[which], anchor="start"))
    return parts


def _key_places(strip: Strip, right: float) -> list[tuple[int, float, float]]:
    """Return which name stands where, in rows as long as the chart is wide."""
    places: list[tuple[int, float, float]] = []
    x, y = LEFT, 0.0
    for which in _letters(strip):
        wide = 44 + 6.7 * len(strip.names[which])
        if x > LEFT and x + wide > right:
            x, y = LEFT, y + _KEY_ROW
        places.append((which, x, y))
        x += wide
    return places


def key_height(strip: Strip, right: float) -> float:
    """Return how much taller the key makes a chart."""
    places = _key_places(strip, right)
    return places[-1][2] + 24 if places else 0.0


def _tinted(x: float, y: float, width: float, height: float, which: int) -> str:
    tint = _TINTS[which % len(_TINTS)]
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" '
        f'fill="{tint}" stroke="{INK}" stroke-width="0.7"/>'
    )
