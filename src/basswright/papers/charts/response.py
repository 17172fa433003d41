"""Level at the ear: how loud, with its band, and what limits it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final, Literal

from basswright.errors import InputError
from basswright.papers.charts.theme import (
    COLOURS,
    INK,
    by_system,
    finished,
    frequency_axis,
    thinned,
)
from basswright.records.system import Prediction

if TYPE_CHECKING:
    import altair as alt


#: How many points of a curve carry a mark.
_MARKS: Final = 40


def response(
    predictions: Sequence[Prediction],
    names: Sequence[str],
    *,
    wished_db: float | None = None,
    low_limit_hz: float | None = None,
    curve: Literal["loudest", "level"] = "loudest",
    span_hz: tuple[float, float] = (10.0, 200.0),
) -> alt.LayerChart:
    """Chart the level at the ear of one or several systems against frequency.

    Parameters
    ----------
    predictions : sequence of Prediction
        At most seven.
    names : sequence of str
        One for each prediction, all different.
    wished_db : float or None
        Level that was wished for [dB]; drawn as a line across.
    low_limit_hz : float or None
        Low limit that was wished for [Hz]; drawn as a line upwards.
    curve : {"loudest", "level"}
        Highest clean level, or the level with the gain set and no limit applied.
    span_hz : tuple of float
        Ends of the frequency axis [Hz].

    Returns
    -------
    altair.LayerChart
        Line and 90 % band for each system.

    Raises
    ------
    InputError
        No system, too many, names that do not match.
    """
    import altair as alt

    checked(predictions, names)
    rows: list[dict[str, Any]] = []
    for prediction, name in zip(predictions, names, strict=True):
        middle, low, high = (
            getattr(prediction, f"{curve}{part}_db") for part in ("", "_low", "_high")
        )
        rows += [
            {
                "system": name,
                "frequency": round(float(prediction.frequency_hz[i]), 2),
                "level": round(float(middle[i]), 2),
                "low": round(float(low[i]), 2),
                "high": round(float(high[i]), 2),
            }
            for i in thinned(prediction.frequency_hz, span_hz).tolist()
        ]
    top = max(row["high"] for row in rows)
    ceiling = 10.0 * -(-max(top, wished_db or 0.0) // 10)
    levels = alt.Scale(domain=[ceiling - 60, ceiling], nice=False)
    axis = alt.Axis(title="Level at the ear in dB")
    colour, dash = by_system(tuple(names))
    base = alt.Chart(alt.InlineData(values=rows)).encode(x=frequency_axis(span_hz))
    band = base.mark_area(opacity=0.18, clip=True).encode(
        y=alt.Y("low:Q", scale=levels, axis=axis), y2="high:Q", color=colour
    )
    line = base.mark_line(strokeWidth=2.2, clip=True).encode(
        y=alt.Y("level:Q", scale=levels, axis=axis),
        color=colour,
        strokeDash=dash,
        tooltip=["system:N", "frequency:Q", "level:Q", "low:Q", "high:Q"],
    )
    layers = [band, line, *_wishes(wished_db, low_limit_hz)]
    return finished(alt.LayerChart(layer=layers), "Level at the ear against frequency")


def limits(
    prediction: Prediction, *, span_hz: tuple[float, float] = (10.0, 200.0)
) -> alt.LayerChart:
    """Chart the highest clean level and, by colour and letter, what limits it where.

    Parameters
    ----------
    prediction : Prediction
    span_hz : tuple of float
        Ends of the frequency axis [Hz].

    Returns
    -------
    altair.LayerChart
    """
    import altair as alt

    shown = thinned(prediction.frequency_hz, span_hz).tolist()
    rows = [
        {
            "frequency": round(float(prediction.frequency_hz[i]), 2),
            "level": round(float(prediction.loudest_db[i]), 2),
            "limit": prediction.limits[int(prediction.limit_index[i])],
        }
        for i in shown
    ]
    base = alt.Chart(alt.InlineData(values=rows)).encode(x=frequency_axis(span_hz))
    level = alt.Y(
        "level:Q", scale=alt.Scale(zero=False), axis=alt.Axis(title="Highest clean level in dB")
    )
    line = base.mark_line(color=INK, strokeWidth=1.2, clip=True).encode(y=level)
    names = list(prediction.limits)
    marked = alt.InlineData(values=rows[:: max(1, len(rows) // _MARKS)])
    points = base.mark_point(size=70, filled=True, opacity=1, clip=True).properties(data=marked)
    points = points.encode(
        y=level,
        color=alt.Color(
            "limit:N",
            scale=alt.Scale(domain=names, range=list(COLOURS[: len(names)])),
            legend=alt.Legend(title="Limited by", orient="top"),
        ),
        shape=alt.Shape("limit:N", scale=alt.Scale(domain=names)),
        tooltip=["frequency:Q", "level:Q", "limit:N"],
    )
    return finished(alt.LayerChart(layer=[line, points]), "What limits the level at each frequency")


def checked(predictions: Sequence[Prediction], names: Sequence[str]) -> None:
    """Refuse what no chart can show.

    Raises
    ------
    InputError
        No system, more than seven, names that are missing or not all different.
    """
    if not 1 <= len(predictions) <= len(COLOURS):
        raise InputError(
            "a chart shows one to seven systems", field="predictions", value=len(predictions)
        )
    if len(names) != len(predictions) or len(set(names)) != len(names):
        raise InputError(
            "each system needs a name of its own", field="names", value=", ".join(names)
        )


def _wishes(wished_db: float | None, low_limit_hz: float | None) -> list[alt.Chart]:
    import altair as alt

    layers = []
    if wished_db is not None:
        level = alt.Chart(alt.InlineData(values=[{"level": wished_db}]))
        layers.append(level.mark_rule(strokeDash=[7, 4], color=INK, clip=True).encode(y="level:Q"))
    if low_limit_hz is not None:
        limit = alt.Chart(alt.InlineData(values=[{"frequency": low_limit_hz}]))
        layers.append(
            limit.mark_rule(strokeDash=[2, 3], color=INK, clip=True).encode(x="frequency:Q")
        )
    return layers
