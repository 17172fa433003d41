"""The other curves of one or several systems against frequency."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from basswright.papers.charts.response import checked
from basswright.papers.charts.theme import by_system, finished, frequency_axis, thinned
from basswright.records.system import Prediction

if TYPE_CHECKING:
    import altair as alt

_SPAN_HZ: Final = (10.0, 200.0)


def impedance(predictions: Sequence[Prediction], names: Sequence[str]) -> alt.LayerChart:
    """Chart the magnitude of the impedance at the terminals [ohm]."""

    def magnitude(prediction: Prediction) -> NDArray[np.float64]:
        return np.abs(prediction.impedance_ohm)

    return _chart(predictions, names, magnitude, title="Impedance in Ω", zero=True)


def excursion(predictions: Sequence[Prediction], names: Sequence[str]) -> alt.LayerChart:
    """Chart the peak cone travel at the highest clean level [mm]."""

    def travel_mm(prediction: Prediction) -> NDArray[np.float64]:
        return prediction.excursion_m * 1000

    return _chart(predictions, names, travel_mm, title="Cone travel in mm", zero=True)


def port_speed(predictions: Sequence[Prediction], names: Sequence[str]) -> alt.LayerChart:
    """Chart the peak air speed in the port at the highest clean level [m/s]."""

    def speed(prediction: Prediction) -> NDArray[np.float64]:
        return prediction.port_speed_m_per_s

    return _chart(predictions, names, speed, title="Air speed in the port in m/s", zero=True)


def group_delay(predictions: Sequence[Prediction], names: Sequence[str]) -> alt.LayerChart:
    """Chart the group delay [ms]."""

    def delay_ms(prediction: Prediction) -> NDArray[np.float64]:
        return prediction.group_delay_s * 1000

    return _chart(predictions, names, delay_ms, title="Group delay in ms", zero=False)


def cabin_gain(predictions: Sequence[Prediction], names: Sequence[str]) -> alt.LayerChart:
    """Chart what the cabin adds to the level [dB]."""

    def gain(prediction: Prediction) -> NDArray[np.float64]:
        return prediction.cabin_gain_db

    return _chart(predictions, names, gain, title="Cabin gain in dB", zero=False)


def _chart(
    predictions: Sequence[Prediction],
    names: Sequence[str],
    curve: Callable[[Prediction], NDArray[np.float64]],
    *,
    title: str,
    zero: bool,
) -> alt.LayerChart:
    import altair as alt

    checked(predictions, names)
    rows: list[dict[str, Any]] = []
    for prediction, name in zip(predictions, names, strict=True):
        values = curve(prediction)
        rows += [
            {
                "system": name,
                "frequency": round(float(prediction.frequency_hz[i]), 2),
                "value": float(f"{float(values[i]):.5g}"),
            }
            for i in thinned(prediction.frequency_hz, _SPAN_HZ).tolist()
        ]
    colour, dash = by_system(tuple(names))
    line = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_line(strokeWidth=2.2, clip=True)
        .encode(
            x=frequency_axis(_SPAN_HZ),
            y=alt.Y("value:Q", scale=alt.Scale(zero=zero), axis=alt.Axis(title=title)),
            color=colour,
            strokeDash=dash,
            tooltip=["system:N", "frequency:Q", "value:Q"],
        )
    )
    return finished(alt.LayerChart(layer=[line]), f"{title} against frequency")
