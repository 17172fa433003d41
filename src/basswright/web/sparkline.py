"""A small response curve, as SVG inside the list."""

from __future__ import annotations

from typing import Final

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from basswright.records.wish import Wish
from basswright.web.curves import Curve

_WIDTH: Final = 240.0
_HEIGHT: Final = 64.0
_SPAN_HZ: Final = (16.0, 125.0)
#: The picture shows this many decibels, its upper edge a little above the wish.
_SPAN_DB: Final = 40.0
_ABOVE_WISH_DB: Final = 14.0


def sparkline(curve: Curve, wish: Wish) -> Markup:
    """Return a small chart: level with its band, the wish as a dashed step."""
    inside = (curve.frequency_hz >= _SPAN_HZ[0]) & (curve.frequency_hz <= _SPAN_HZ[1])
    x = _across(curve.frequency_hz[inside])
    top = wish.level_db + _ABOVE_WISH_DB
    middle, low, high = (
        _down(values[inside], top) for values in (curve.middle_db, curve.low_db, curve.high_db)
    )
    band = _points(np.concatenate([x, x[::-1]]), np.concatenate([high, low[::-1]]))
    wished = float(_down(np.array([wish.level_db]), top)[0])
    start = float(_across(np.array([wish.low_limit_hz]))[0])
    ticks = "".join(
        f'<path d="M{at:.1f} {_HEIGHT}v-5"/>'
        for at in _across(np.array([20.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0]))
    )
    words = (
        f"Highest clean level at the ear, {_SPAN_HZ[0]:.0f} to {_SPAN_HZ[1]:.0f} Hz; "
        f"dashed: the wish of {wish.level_db:g} dB from {wish.low_limit_hz:g} Hz"
    )
    return Markup(
        f'<svg class="spark" viewBox="0 0 {_WIDTH:.0f} {_HEIGHT:.0f}" role="img" '
        f'aria-label="{words}" preserveAspectRatio="none">'
        f'<g class="spark-ticks">{ticks}</g><polygon class="spark-band" points="{band}"/>'
        f'<path class="spark-wish" d="M{start:.1f} {_HEIGHT}V{wished:.1f}H{_WIDTH:.0f}"/>'
        f'<polyline class="spark-line" points="{_points(x, middle)}"/></svg>'
    )


def _across(frequency_hz: NDArray[np.float64]) -> NDArray[np.float64]:
    low, high = np.log(_SPAN_HZ)
    return np.asarray((np.log(frequency_hz) - low) / (high - low) * _WIDTH)


def _down(level_db: NDArray[np.float64], top_db: float) -> NDArray[np.float64]:
    return np.clip((top_db - level_db) / _SPAN_DB * _HEIGHT, 0.0, _HEIGHT)


def _points(x: NDArray[np.float64], y: NDArray[np.float64]) -> str:
    return " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
