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

from basswright.papers import strip as strips
from basswright.papers.frame import (
    BOTTOM,
    FONT,
    GRID,
    INK,
    LEFT,
    RIGHT,
    SOFT,
    TOP,
    Frame,
    stroke,
    words,
)
from basswright.papers.strip import Strip

#: Frequencies that get a label [Hz].
_LABELLED_HZ: Final = (10, 15, 20, 30, 40, 60, 80, 100, 150, 200, 300, 400)


@dataclass(frozen=True, kw_only=True)
class Line:
    """A curve."""

    values: NDArray[np.float64]
    colour: str = INK
    width: float = 2.2


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
    strip = strips.seen(strip, axes.span_hz) if strip else None
    inside = (frequency_hz >= axes.span_hz[0] * 0.999) & (frequency_hz <= axes.span_hz[1] * 1.001)
    low, high, step = _level_ends(drawn, inside, axes)
    frame = Frame(
        span_hz=axes.span_hz,
        low=low,
        high=high,
        right=axes.width - RIGHT,
        foot=axes.height - BOTTOM,
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
        parts += strips.drawn(frame, strip)
    parts += _labels(frame, frequency_hz, drawn, strip)
    key = strips.key_height(strip, frame.right) if strip else 0.0
    return _svg(parts, axes, axes.height + key)


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


def _grid(frame: Frame, step: float, axes: Axes) -> list[str]:
    left, right = LEFT, frame.right
    top, bottom = TOP, frame.foot
    parts = []
    digits = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    count = round((frame.high - frame.low) / step)
    for index in range(count + 1):
        level = frame.low + index * step
        y = float(frame.y(level))
        parts.append(stroke(left, y, right, y, GRID, 0.8))
        parts.append(words(left - 7, y + 4.5, f"{level:.{digits}f}", anchor="end"))
    for hertz in _LABELLED_HZ:
        if frame.span_hz[0] <= hertz <= frame.span_hz[1]:
            x = float(frame.x(float(hertz)))
            parts.append(stroke(x, top, x, bottom, GRID, 0.8))
            parts.append(words(x, bottom + 18, str(hertz), anchor="middle"))
    parts.append(
        f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" '
        f'height="{bottom - top:.1f}" fill="none" stroke="{SOFT}" stroke-width="1"/>'
    )
    parts.append(words((left + right) / 2, axes.height - 8, axes.frequency, anchor="middle"))
    middle = (top + bottom) / 2
    parts.append(
        f'<text x="14" y="{middle:.1f}" text-anchor="middle" fill="{INK}" '
        f'transform="rotate(-90 14 {middle:.1f})">{escape(axes.level)}</text>'
    )
    return parts


def _points(x: NDArray[np.float64], y: NDArray[np.float64]) -> str:
    return " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True))


def _band(
    frame: Frame, frequency_hz: NDArray[np.float64], band: Band, inside: NDArray[np.bool_]
) -> str:
    x = frame.x(frequency_hz[inside])
    low, high = frame.y(band.low[inside]), frame.y(band.high[inside])
    around = _points(np.concatenate([x, x[::-1]]), np.concatenate([high, low[::-1]]))
    return f'<polygon points="{around}" fill="{band.colour}" fill-opacity="0.18"/>'


def _line(
    frame: Frame, frequency_hz: NDArray[np.float64], line: Line, inside: NDArray[np.bool_]
) -> str:
    points = _points(frame.x(frequency_hz[inside]), frame.y(line.values[inside]))
    return (
        f'<polyline points="{points}" fill="none" stroke="{line.colour}" '
        f'stroke-width="{line.width}" stroke-linejoin="round"/>'
    )


def _mark_line(frame: Frame, mark: Mark) -> str:
    if mark.level is not None:
        y = float(frame.y(mark.level))
        return stroke(LEFT, y, frame.right, y, INK, 1.2, dash="7 4")
    x = float(frame.x(mark.frequency_hz or frame.span_hz[0]))
    return stroke(x, TOP, x, frame.foot, INK, 1.2, dash="2 3")


def _labels(
    frame: Frame,
    frequency_hz: NDArray[np.float64],
    drawn: Sequence[Line | Band | Mark],
    strip: Strip | None,
) -> list[str]:
    """Return the names of the marks, where the curves leave them room."""
    curves = [item.values for item in drawn if isinstance(item, Line)]
    parts = []
    for mark in drawn:
        if isinstance(mark, Mark) and mark.level is not None:
            y = float(frame.y(mark.level)) - 6
            left = _room(frame, frequency_hz, curves, mark.level, share=0.12)
            right = _room(frame, frequency_hz, curves, mark.level, share=0.88)
            if left >= right:
                parts.append(words(LEFT + 6, y, mark.name, anchor="start", halo=True))
            else:
                parts.append(words(frame.right - 6, y, mark.name, anchor="end", halo=True))
        elif isinstance(mark, Mark) and mark.frequency_hz is not None:
            x, y = float(frame.x(mark.frequency_hz)) + 5, TOP + 16 if strip else frame.foot - 9
            parts.append(words(x, y, mark.name, anchor="start", halo=True))
    return parts


def _room(
    frame: Frame,
    frequency_hz: NDArray[np.float64],
    curves: list[NDArray[np.float64]],
    level: float,
    *,
    share: float,
) -> float:
    """Return how far every curve stays from a level, at a share of the width."""
    first, last = frame.span_hz
    at_hz = first * (last / first) ** share
    return min(
        (abs(float(np.interp(at_hz, frequency_hz, curve)) - level) for curve in curves), default=0.0
    )


def _svg(parts: Sequence[str], axes: Axes, full_height: float) -> str:
    width, height = axes.width, axes.height
    field = (
        f'<clipPath id="field"><rect x="{LEFT}" y="{TOP}" width="{width - LEFT - RIGHT}" '
        f'height="{height - TOP - BOTTOM}"/></clipPath>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {full_height:g}" '
        f'width="{width:g}" height="{full_height:g}" font-family="{FONT}" font-size="13">'
        f"<defs>{field}</defs>"
        f'<rect width="{width:g}" height="{full_height:g}" fill="#ffffff"/>'
        + "".join(parts)
        + "</svg>"
    )
