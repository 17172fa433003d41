"""A small chart for paper: lines and bands over a logarithmic frequency axis, as SVG.

Written directly, because starting a general chart renderer takes longer than setting
every paper of a job.
"""

from __future__ import annotations

from collections.abc import Sequence
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

_TINTS: Final = ("#ffffff", "#c3ced4", "#e4eaed", "#a9b8c0", "#f2f5f6", "#d3dbe0")
_KEY_ROW: Final = 20.0

#: Frequencies that get a label [Hz].
_LABELLED_HZ: Final = (10, 15, 20, 30, 40, 60, 80, 100, 150, 200, 300, 400)

_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 14.0, 14.0, 46.0


@dataclass(frozen=True, kw_only=True)
class Line:
    """A curve; `dash` tells curves apart where colour does not print."""

    name: str
    values: NDArray[np.float64]
    colour: str = INK
    dash: str = ""
    width: float = 2.2
    label_at_hz: float | None = None
    label_below: bool = False


@dataclass(frozen=True, kw_only=True)
class Band:
    """The space between two curves."""

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    colour: str = INK


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A straight line across (level) or up (frequency), with its name."""

    name: str
    level: float | None = None
    frequency_hz: float | None = None


@dataclass(frozen=True, kw_only=True)
class Axes:
    """Names and ends of the axes. Ends are taken from the curves where None."""

    frequency: str
    level: str
    low: float | None = None
    high: float | None = None
    span_hz: tuple[float, float] = (10.0, 200.0)
    width: float = 640.0
    height: float = 330.0


@dataclass(frozen=True, kw_only=True)
class Strip:
    """What holds over stretches of frequency: (low Hz, high Hz, which of `names`).

    Each stretch carries the letter of its name; a key under the chart gives the names.
    """

    stretches: tuple[tuple[float, float, int], ...]
    names: tuple[str, ...]


def plot(
    frequency_hz: NDArray[np.float64],
    drawn: Sequence[Line | Band | Mark],
    *,
    axes: Axes,
    strip: Strip | None = None,
) -> str:
    """Draw curves against a logarithmic frequency axis.

    Parameters
    ----------
    frequency_hz : ndarray, shape (f,)
        Frequencies of every curve [Hz], rising.
    drawn : sequence of Line, Band and Mark
        From back to front; every curve has shape (f,).
    axes : Axes
    strip : Strip or None
        Named stretches of frequency above the frequency axis.

    Returns
    -------
    str
        SVG text, the same for the same input.
    """
    strip = _seen(strip, axes.span_hz) if strip else None
    inside = (frequency_hz >= axes.span_hz[0] * 0.999) & (frequency_hz <= axes.span_hz[1] * 1.001)
    low, high, step = _level_ends(drawn, inside, axes)
    frame = _Frame(
        span_hz=axes.span_hz,
        low=low,
        high=high,
        right=axes.width - _RIGHT,
        foot=axes.height - _BOTTOM,
    )
    parts = [*_grid(frame, step, axes), '<g clip-path="url(#field)">']
    for item in drawn:
        if isinstance(item, Band):
            parts.append(_band(frame, frequency_hz, item, inside))
        elif isinstance(item, Line):
            parts.append(_line(frame, frequency_hz, item, inside))
        else:
            parts.append(_mark_line(frame, item))
    parts.append("</g>")
    if strip is not None:
        parts += _strip(frame, strip)
    parts += _labels(frame, frequency_hz, drawn)
    return _svg(parts, axes, axes.height + _key_height(axes, strip))


@dataclass(frozen=True, kw_only=True)
class _Frame:
    span_hz: tuple[float, float]
    low: float
    high: float
    right: float
    foot: float

    def x(self, frequency_hz: NDArray[np.float64] | float) -> NDArray[np.float64]:
        first, last = self.span_hz
        share = np.log(np.asarray(frequency_hz) / first) / np.log(last / first)
        return np.asarray(_LEFT + share * (self.right - _LEFT))

    def y(self, level: NDArray[np.float64] | float) -> NDArray[np.float64]:
        share = (np.asarray(level) - self.low) / (self.high - self.low)
        return np.asarray(self.foot - share * (self.foot - _TOP))


def _level_ends(
    drawn: Sequence[Line | Band | Mark], inside: NDArray[np.bool_], axes: Axes
) -> tuple[float, float, float]:
    values: list[float] = []
    for item in drawn:
        if isinstance(item, Line):
            values += [float(item.values[inside].min()), float(item.values[inside].max())]
        elif isinstance(item, Band):
            values += [float(item.low[inside].min()), float(item.high[inside].max())]
        elif item.level is not None:
            values.append(item.level)
    low = min(values) if axes.low is None else axes.low
    high = max(values) if axes.high is None else axes.high
    spread = max(high - low, 1e-9)
    rough = spread / 6
    decade = 10.0 ** np.floor(np.log10(rough))
    step = float(decade * next(nice for nice in (1, 2, 5, 10) if nice * decade >= rough))
    if axes.low is None:
        low = step * float(np.floor(low / step))
    if axes.high is None:
        high = step * float(np.ceil(high / step + 1e-9))
    return low, high, step


def _grid(frame: _Frame, step: float, axes: Axes) -> list[str]:
    left, right = _LEFT, frame.right
    top, bottom = _TOP, frame.foot
    parts = []
    digits = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    count = round((frame.high - frame.low) / step)
    for index in range(count + 1):
        level = frame.low + index * step
        y = float(frame.y(level))
        parts.append(_stroke(left, y, right, y, GRID, 0.8))
        parts.append(_words(left - 7, y + 4.5, f"{level:.{digits}f}", anchor="end"))
    for hertz in _LABELLED_HZ:
        if frame.span_hz[0] <= hertz <= frame.span_hz[1]:
            x = float(frame.x(float(hertz)))
            parts.append(_stroke(x, top, x, bottom, GRID, 0.8))
            parts.append(_words(x, bottom + 18, str(hertz), anchor="middle"))
    parts.append(
        f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" '
        f'height="{bottom - top:.1f}" fill="none" stroke="{SOFT}" stroke-width="1"/>'
    )
    parts.append(_words((left + right) / 2, axes.height - 8, axes.frequency, anchor="middle"))
    middle = (top + bottom) / 2
    parts.append(
        f'<text x="14" y="{middle:.1f}" text-anchor="middle" fill="{INK}" '
        f'transform="rotate(-90 14 {middle:.1f})">{escape(axes.level)}</text>'
    )
    return parts


def _points(x: NDArray[np.float64], y: NDArray[np.float64]) -> str:
    return " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True))


def _band(
    frame: _Frame, frequency_hz: NDArray[np.float64], band: Band, inside: NDArray[np.bool_]
) -> str:
    x = frame.x(frequency_hz[inside])
    low, high = frame.y(band.low[inside]), frame.y(band.high[inside])
    around = _points(np.concatenate([x, x[::-1]]), np.concatenate([high, low[::-1]]))
    return f'<polygon points="{around}" fill="{band.colour}" fill-opacity="0.18"/>'


def _line(
    frame: _Frame, frequency_hz: NDArray[np.float64], line: Line, inside: NDArray[np.bool_]
) -> str:
    points = _points(frame.x(frequency_hz[inside]), frame.y(line.values[inside]))
    dash = f' stroke-dasharray="{line.dash}"' if line.dash else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="{line.colour}" '
        f'stroke-width="{line.width}" stroke-linejoin="round"{dash}/>'
    )


def _mark_line(frame: _Frame, mark: Mark) -> str:
    if mark.level is not None:
        y = float(frame.y(mark.level))
        return _stroke(_LEFT, y, frame.right, y, INK, 1.2, dash="7 4")
    x = float(frame.x(mark.frequency_hz or frame.span_hz[0]))
    return _stroke(x, _TOP, x, frame.foot, INK, 1.2, dash="2 3")


def _labels(
    frame: _Frame, frequency_hz: NDArray[np.float64], drawn: Sequence[Line | Band | Mark]
) -> list[str]:
    parts = []
    for item in drawn:
        if isinstance(item, Line) and item.label_at_hz is not None:
            level = float(np.interp(item.label_at_hz, frequency_hz, item.values))
            y = float(frame.y(level)) + (17 if item.label_below else -8)
            parts.append(
                _words(float(frame.x(item.label_at_hz)), y, item.name, anchor="middle", halo=True)
            )
        elif isinstance(item, Mark) and item.level is not None:
            y = float(frame.y(item.level)) - 6
            parts.append(_words(_LEFT + 6, y, item.name, anchor="start", halo=True))
        elif isinstance(item, Mark) and item.frequency_hz is not None:
            x = float(frame.x(item.frequency_hz)) + 5
            parts.append(_words(x, _TOP + 16, item.name, anchor="start", halo=True))
    return parts


def _seen(strip: Strip, span_hz: tuple[float, float]) -> Strip:
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


def _strip(frame: _Frame, strip: Strip) -> list[str]:
    parts, letters = [], _letters(strip)
    for low_hz, high_hz, which in strip.stretches:
        x0, x1 = frame.x(np.array([low_hz, high_hz])).tolist()
        parts.append(_tinted(x0, frame.foot - 20, x1 - x0, 20, which))
        if x1 - x0 > 14:
            parts.append(_words((x0 + x1) / 2, frame.foot - 5.5, letters[which], anchor="middle"))
    return [*parts, *_key(frame, strip)]


def _key(frame: _Frame, strip: Strip) -> list[str]:
    parts, top = [], frame.foot + _BOTTOM + 15
    letters = _letters(strip)
    for which, x, down in _key_places(strip, frame.right):
        y = top + down
        parts.append(_tinted(x, y - 12, 17, 15, which))
        parts.append(_words(x + 8.5, y, letters[which], anchor="middle"))
        parts.append(_words(x + 23, y, strip.names[which], anchor="start"))
    return parts


def _key_places(strip: Strip, right: float) -> list[tuple[int, float, float]]:
    """Return which name stands where, in rows as long as the chart is wide."""
    places: list[tuple[int, float, float]] = []
    x, y = _LEFT, 0.0
    for which in _letters(strip):
        wide = 44 + 7.4 * len(strip.names[which])
        if x > _LEFT and x + wide > right:
            x, y = _LEFT, y + _KEY_ROW
        places.append((which, x, y))
        x += wide
    return places


def _key_height(axes: Axes, strip: Strip | None) -> float:
    places = _key_places(strip, axes.width - _RIGHT) if strip else []
    return places[-1][2] + 24 if places else 0.0


def _tinted(x: float, y: float, width: float, height: float, which: int) -> str:
    tint = _TINTS[which % len(_TINTS)]
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" '
        f'fill="{tint}" stroke="{INK}" stroke-width="0.7"/>'
    )


def _stroke(
    x0: float, y0: float, x1: float, y1: float, colour: str, width: float, *, dash: str = ""
) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}" '
        f'stroke="{colour}" stroke-width="{width}"{dashes}/>'
    )


def _words(x: float, y: float, text: str, *, anchor: str, halo: bool = False) -> str:
    behind = ' stroke="#ffffff" stroke-width="3.5" stroke-linejoin="round"' if halo else ""
    front = f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{INK}">'
    back = front.replace(f' fill="{INK}"', f' fill="#ffffff"{behind}') if halo else ""
    shown = escape(text)
    return f"{back}{shown}</text>{front}{shown}</text>" if halo else f"{front}{shown}</text>"


def _svg(parts: Sequence[str], axes: Axes, full_height: float) -> str:
    width, height = axes.width, axes.height
    field = (
        f'<clipPath id="field"><rect x="{_LEFT}" y="{_TOP}" width="{width - _LEFT - _RIGHT}" '
        f'height="{height - _TOP - _BOTTOM}"/></clipPath>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {full_height:g}" '
        f'width="{width:g}" height="{full_height:g}" font-family="{FONT}" font-size="13">'
        f"<defs>{field}</defs>"
        f'<rect width="{width:g}" height="{full_height:g}" fill="#ffffff"/>'
        + "".join(parts)
        + "</svg>"
    )
