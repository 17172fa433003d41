"""Draw how often the bands of the demo range hold what its boxes truly do.

Run from the root of the repository: ``python -m scripts.draw_bands``; writes
``docs/bands.svg``.
"""

from __future__ import annotations

from pathlib import Path

import altair as alt
import numpy as np
from tests.sound.population import coverage, true_models

from basswright.catalogue.demo import make
from basswright.sound import box_models

_TARGET = Path(__file__).parent.parent / "docs" / "bands.svg"


def rows() -> list[dict[str, object]]:
    """Return the coverage of each figure for each kind of box, and for all."""
    made = make()
    enclosures = made.snapshot.enclosures
    kinds = np.array([enclosure.kind for enclosure in enclosures])
    found = coverage(box_models(enclosures, draws=65), true_models(enclosures, made.truth))
    return [
        {
            "figure": f"{name} (median width {one.width:.1f})",
            "boxes": kind,
            "covered": 100 * float(one.inside[(kinds == kind) | (kind == "all")].mean()),
        }
        for name, one in found.items()
        for kind in ("all", "closed", "vented", "passive-radiator", "bandpass")
    ]


def main() -> None:
    """Write the figure."""
    target = alt.Chart(alt.Data(values=[{"low": 87, "high": 93}])).mark_rect(opacity=0.15)
    points = alt.Chart(alt.Data(values=rows())).mark_point(filled=True, size=90, opacity=0.8)
    scale = alt.Scale(domain=(75, 100), zero=False)
    title = "share of truths inside the 90 % band, %"
    chart = target.encode(x=alt.X("low:Q", scale=scale, title=title), x2="high:Q") + points.encode(
        x=alt.X("covered:Q", scale=scale, title=title),
        y=alt.Y("figure:N", title=None, sort=None).axis(labelLimit=320),
        shape=alt.Shape("boxes:N", title="boxes", sort=None),
        color=alt.Color("boxes:N", title="boxes", sort=None),
    )
    chart.properties(width=420, height=200).save(str(_TARGET))


if __name__ == "__main__":
    main()
