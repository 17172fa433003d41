"""A chart as plain data for a browser, or as a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import altair as alt


def specification(chart: alt.LayerChart) -> dict[str, Any]:
    """Return the Vega-Lite specification of a chart as plain data."""
    return dict(chart.to_dict())


def svg(chart: alt.LayerChart, *, width: int = 640) -> str:
    """Draw a chart.

    Starting the renderer takes about two seconds once a process; the papers therefore
    print charts of their own (:mod:`basswright.papers.plotting`).

    Parameters
    ----------
    chart : altair.LayerChart
    width : int
        Width of the drawing [px].

    Returns
    -------
    str
        SVG text.
    """
    import vl_convert

    return str(vl_convert.vegalite_to_svg(specification(chart.properties(width=width))))
