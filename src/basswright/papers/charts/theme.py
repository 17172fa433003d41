"""How every chart on the screen looks: colours, dashes, axes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import altair as alt

#: Told apart by people with any of the usual colour deficiencies, and, falling in
#: lightness, in grey as well. Okabe and Ito, Color Universal Design, 2008, without yellow.
COLOURS: Final = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00", "#000000")

#: One dash pattern a system, so that no chart depends on colour.
DASHES: Final = ([1, 0], [8, 3], [2, 2], [8, 3, 2, 3], [12, 4], [4, 4], [1, 3])

#: Frequencies that get a label [Hz].
TICKS_HZ: Final = (10, 15, 20, 30, 40, 60, 80, 100, 150, 200)

INK: Final = "#1c2529"
SOFT: Final = "#5b676d"
GRID: Final = "#d5dbde"

_MOST_POINTS: Final = 240


def thinned(frequency_hz: NDArray[np.float64], span_hz: tuple[float, float]) -> NDArray[np.intp]:
    """Return which points to show: those inside the span, at most a few hundred."""
    inside = np.flatnonzero(
        (frequency_hz >= span_hz[0] * 0.999) & (frequency_hz <= span_hz[1] * 1.001)
    )
    if len(inside) <= _MOST_POINTS:
        return inside
    return inside[np.unique(np.linspace(0, len(inside) - 1, _MOST_POINTS).astype(np.intp))]


def frequency_axis(span_hz: tuple[float, float]) -> alt.X:
    """Return the logarithmic frequency axis."""
    import altair as alt

    ticks = [hertz for hertz in TICKS_HZ if span_hz[0] <= hertz <= span_hz[1]]
    return alt.X(
        "frequency:Q",
        scale=alt.Scale(type="log", domain=list(span_hz), nice=False),
        axis=alt.Axis(title="Frequency in Hz", values=ticks, format="d"),
    )


def by_system(names: tuple[str, ...]) -> tuple[alt.Color, alt.StrokeDash]:
    """Return colour and dash of each system; the key is left out for a single one."""
    import altair as alt

    legend = None
    if len(names) > 1:
        legend = alt.Legend(
            title=None,
            orient="top",
            labelLimit=320,
            symbolType="stroke",
            symbolOpacity=1,
            symbolSize=500,
            symbolStrokeWidth=2.4,
        )
    colour = alt.Color(
        "system:N",
        sort=list(names),
        scale=alt.Scale(domain=list(names), range=list(COLOURS[: len(names)])),
        legend=legend,
    )
    dash = alt.StrokeDash(
        "system:N",
        sort=list(names),
        scale=alt.Scale(domain=list(names), range=[list(d) for d in DASHES[: len(names)]]),
        legend=legend,
    )
    return colour, dash


def finished(chart: alt.LayerChart, title: str) -> alt.LayerChart:
    """Return a chart in the common look."""
    done: alt.LayerChart = (
        chart.properties(width="container", height=300, description=title)
        .configure(font="Fira Sans, Noto Sans, DejaVu Sans, sans-serif")
        .configure_axis(
            gridColor=GRID, domainColor=SOFT, tickColor=SOFT, labelColor=INK, titleColor=INK
        )
        .configure_view(stroke=SOFT)
    )
    return done
