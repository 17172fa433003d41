"""Charts for the screen: one specification each, shared by every front end.

Each function returns an Altair chart of one or several systems; :func:`specification`
gives it as plain data for a browser, :func:`svg` as a drawing.
"""

from basswright.papers.charts.curves import (
    cabin_gain,
    excursion,
    group_delay,
    impedance,
    port_speed,
)
from basswright.papers.charts.drawing import specification, svg
from basswright.papers.charts.response import limits, response

__all__ = [
    "cabin_gain",
    "excursion",
    "group_delay",
    "impedance",
    "limits",
    "port_speed",
    "response",
    "specification",
    "svg",
]
