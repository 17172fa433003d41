"""The chart of a proof: measured, promised and the promise's band."""

from __future__ import annotations

from typing import Any

from basswright.records.measurement import Proof


def specification(found: Proof) -> dict[str, Any]:
    """Return the chart as Vega-Lite."""
    rows = [
        {
            "frequency": round(float(f), 2),
            "measured": round(float(m), 2),
            "promised": round(float(p), 2),
            "low": round(float(low), 2),
            "high": round(float(high), 2),
        }
        for f, m, p, low, high in zip(
            found.frequency_hz,
            found.measured_db,
            found.predicted_db,
            found.low_db,
            found.high_db,
            strict=True,
        )
    ]
    x = {
        "field": "frequency",
        "type": "quantitative",
        "scale": {"type": "log", "nice": False},
        "axis": {"title": "Frequency in Hz", "values": [16, 20, 31.5, 40, 50, 63, 80, 100, 125]},
    }
    y = {"type": "quantitative", "scale": {"zero": False}, "title": "Level at the ear in dB"}
    line = {"type": "line", "strokeWidth": 2.2}
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "data": {"values": rows},
        "width": "container",
        "height": 300,
        "layer": [
            {
                "mark": {"type": "area", "opacity": 0.2, "color": "#0072B2"},
                "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
            },
            {
                "mark": {**line, "color": "#0072B2", "strokeDash": [6, 3]},
                "encoding": {"x": x, "y": {**y, "field": "promised"}},
            },
            {
                "mark": {**line, "color": "#D55E00", "tooltip": True},
                "encoding": {"x": x, "y": {**y, "field": "measured"}},
            },
        ],
    }
