"""Sketches of each kind of load space that show where a tape reading is taken."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from pydantic import BaseModel

from basswright.errors import NotFoundError
from basswright.quantities import name_without_unit
from basswright.records.space import BootSpace, LoadSpace, Opening, WellSpace, Zone
from basswright.space.arrays import Floats
from basswright.space.readings import Reading, readings, sample
from basswright.space.solids import Solid
from basswright.space.svg import ACCENT, INK, MEDIUM, PALE, THICK, THIN, Sheet, Spot
from basswright.space.templates import solid
from basswright.space.views import VIEWS, View, clipped, edges_seen, outline, spots

KINDS = (
    "hatchback",
    "estate",
    "saloon",
    "suv",
    "van",
    "behind-seat",
    "under-seat",
    "console",
    "spare-wheel-well",
    "free",
    "scan",
)
_PAPER_MM = 78.0
_GAP_MM = 12.0


def sketch(kind: str, highlight: str | None = None) -> str:
    """Draw a kind of load space and where its readings are taken.

    Parameters
    ----------
    kind : str
        One of :data:`KINDS`.
    highlight : str, optional
        Field whose reading is emphasised and named, dotted for nested ones
        ("opening.width_m", "zones.length_m"), with or without its unit.

    Returns
    -------
    str
        SVG without a size of its own, for any screen or paper.

    Raises
    ------
    NotFoundError
        For an unknown kind or field.
    """
    if kind not in KINDS:
        raise NotFoundError("kind of load space", kind, KINDS)
    space = sample(kind)
    marks = readings(space)
    wanted = _wanted(space, marks, highlight)
    built = solid(space)
    size = built.high - built.low
    per_m = _PAPER_MM / float(max(size[0], size[1], 0.6))
    sheet = Sheet()
    for view, place in zip(VIEWS, _places(built, per_m), strict=True):
        _view(sheet, view, space, built, place, per_m)
    places = dict(zip((view.name for view in VIEWS), _places(built, per_m), strict=True))
    for mark in marks:
        if mark.field != wanted:
            _reading(sheet, mark, places[mark.view], per_m, wanted is not None)
    for mark in marks:
        if mark.field == wanted:
            _highlight(sheet, mark, places[mark.view], per_m)
    plan, _, rear = _places(built, per_m)
    below = plan[1] - built.high[1] * per_m + 6.0
    _caption(sheet, space, wanted, (rear[0] - built.high[1] * per_m, float(below)))
    return sheet.document(title=f"Where to measure: {kind}", real_size=False)


def _wanted(space: LoadSpace, marks: tuple[Reading, ...], highlight: str | None) -> str | None:
    if highlight is None:
        return None
    known = [mark.field for mark in marks] + ["tolerance_m"]
    for field in known:
        if highlight in (field, name_without_unit(field)):
            return field
    raise NotFoundError("reading", highlight, tuple(name_without_unit(f) for f in known))


def _places(built: Solid, per_m: float) -> tuple[Spot, Spot, Spot]:
    """Return where the origin of plan, side and rear lies on paper: side top left, rear
    beside it, plan below."""
    low, high = built.low * per_m, built.high * per_m
    deepest = 0.22 * per_m if built.kind in BOOTS else 0.06 * per_m
    length = -low[0]
    side = (0.0, 0.0)
    rear = (float(length + _GAP_MM + high[1]), 0.0)
    plan = (0.0, float(deepest + _GAP_MM + high[1]))
    return plan, side, rear


BOOTS = ("hatchback", "estate", "saloon", "suv", "van")


def _at(view: View, points: Floats, place: Spot, per_m: float) -> list[Spot]:
    return [(x + place[0], y + place[1]) for x, y in spots(view.flat(points), per_m)]


def _view(
    sheet: Sheet, view: View, space: LoadSpace, built: Solid, place: Spot, per_m: float
) -> None:
    window = outline(view.flat(built.envelope.vertices))
    moved = np.array(place) / per_m
    sheet.polygon(spots(window + moved, per_m), width=THICK, fill="#fff")
    for keep_out in built.keep_outs:
        ring = clipped(outline(view.flat(keep_out.body.vertices)), window)
        if len(ring) > 2:
            sheet.polygon(spots(ring + moved, per_m), width=MEDIUM, fill="url(#hatch)")
    for start, end, _ in edges_seen(built.envelope, view):
        first, last = spots(np.stack([start, end]) + moved, per_m)
        sheet.line(first, last, ink=PALE)
    sheet.polygon(spots(window + moved, per_m), width=THICK)
    if view.name == "side" and isinstance(space, BootSpace):
        _well(sheet, view, space, place, per_m)
    if view.name == "rear" and not isinstance(space, WellSpace):
        _opening(sheet, view, space.opening, place, per_m)
    x, y = spots(np.array([[window[:, 0].min(), window[:, 1].min()]]) + moved, per_m)[0]
    front = "" if view.name == "rear" else "   ← front"
    sheet.text((x, y - 8.0), f"{view.name}{front}", anchor="start", ink="#444")


def _well(sheet: Sheet, view: View, space: BootSpace, place: Spot, per_m: float) -> None:
    half, deep = space.spare_well_diameter_m / 2, -space.spare_well_depth_m
    centre = -space.depth_floor_m / 2
    corners = [(centre + half, 0), (centre + half, deep), (centre - half, deep), (centre - half, 0)]
    path = _at(view, np.array([(x, 0.0, z) for x, z in corners]), place, per_m)
    for start, end in pairwise(path):
        sheet.line(start, end, width=MEDIUM)


def _opening(sheet: Sheet, view: View, opening: Opening, place: Spot, per_m: float) -> None:
    half, low = opening.width_m / 2, opening.sill_m
    high = low + opening.height_m
    corners = [(half, low), (half, high), (-half, high), (-half, low), (half, low)]
    path = _at(view, np.array([(0.0, y, z) for y, z in corners]), place, per_m)
    for start, end in pairwise(path):
        sheet.line(start, end, width=THIN, dash="2.4 1.2")


def _ends(mark: Reading, place: Spot, per_m: float) -> tuple[Spot, Spot]:
    view = next(v for v in VIEWS if v.name == mark.view)
    start, end = _at(view, np.array([mark.start, mark.end]), place, per_m)
    return start, end


def _reading(sheet: Sheet, mark: Reading, place: Spot, per_m: float, quiet: bool) -> None:
    start, end = _ends(mark, place, per_m)
    ink = "#9a9a9a" if quiet else INK
    sheet.line(start, end, ink=ink)
    for tip, tail in ((start, end), (end, start)):
        toward = (tip[0] - tail[0], tip[1] - tail[1])
        size = float(np.hypot(*toward))
        if size > 1e-6:
            sheet.arrow(tip, toward, ink=ink, size=min(1.6, size / 2))


def _highlight(sheet: Sheet, mark: Reading, place: Spot, per_m: float) -> None:
    start, end = _ends(mark, place, per_m)
    length = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    sheet.line(start, end, ink="#fff", width=2.4)
    sheet.line(start, end, ink=ACCENT, width=1.0)
    for tip, tail in ((start, end), (end, start)):
        toward = (tip[0] - tail[0], tip[1] - tail[1])
        if length > 1e-6:
            sheet.arrow(tip, toward, ink=ACCENT, size=min(3.4, max(length / 2, 1.0)))
    for spot in (start, end):
        sheet.circle(spot, 0.9, fill=ACCENT, ink=ACCENT)


def _caption(sheet: Sheet, space: LoadSpace, wanted: str | None, place: Spot) -> None:
    if wanted is None:
        return
    left, below = place
    text = description(space, wanted)
    sheet.text(
        (left, below),
        name_without_unit(wanted).replace("_", " ").replace(".", ": "),
        anchor="start",
        bold=True,
        ink=ACCENT,
        size=4.2,
    )
    for row, line in enumerate(_wrapped(text, 36)):
        sheet.text((left, below + 6.0 + 4.8 * row), line, anchor="start", size=3.6)


def description(space: LoadSpace, field: str) -> str:
    """Return what a field's record says of it."""
    models: dict[str, type[BaseModel]] = {"opening": Opening, "zones": Zone}
    head, _, tail = field.partition(".")
    model, name = (models[head], tail) if tail else (type(space), field)
    return model.model_fields[name].description or ""


def _wrapped(text: str, width: int) -> list[str]:
    from textwrap import wrap

    return wrap(text, width)
