"""Dimensioned drawings of a placed box: plan, side and rear, to scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from basswright.records.placement import Gap, Placement
from basswright.space.arrays import Floats
from basswright.space.polytope import Convex
from basswright.space.solids import Solid
from basswright.space.svg import (
    LETTER,
    MEDIUM,
    PALE,
    THICK,
    THIN,
    Sheet,
    Spot,
    fits_between,
    text_width,
)
from basswright.space.templates import hull_of
from basswright.space.views import (
    PLAN,
    REAR,
    SIDE,
    VIEWS,
    View,
    clipped,
    edges_seen,
    outline,
    spots,
)

SCALES = (2, 5, 10, 15, 20, 25, 50)
_PAPER_MM = 150.0
# Room on a sheet that the views may take at scale, dimensions and titles left out.
_LEAST_MM, _TWO_SHEETS_MM = 60.0, 105.0
_BESIDE_MM, _ABOVE_MM, _STACKED_MM = 54.0, 160.0, 120.0

#: Per view, the sides of the box across and down the paper: (left, right), (top, bottom).
_SIDES = {
    "plan": (("front", "rear"), ("right", "left")),
    "side": (("front", "rear"), ("above", "below")),
    "rear": (("left", "right"), ("above", "below")),
}


@dataclass(frozen=True, kw_only=True)
class Drawings:
    """Three SVG drawings to one scale, and what the numbers in them stand for.

    Attributes
    ----------
    plan, side, rear : str
        SVG documents; their width and height are true on paper.
    scale : int
        1 to so many.
    legend : tuple of str
        Name of each numbered keep-out, in order.
    """

    plan: str
    side: str
    rear: str
    scale: int
    legend: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Lettering:
    """How the words and figures of a drawing are written."""

    inches: bool
    say: Callable[[str], str]


def drawings(
    solid: Solid,
    placement: Placement,
    *,
    inches: bool = False,
    say: Callable[[str], str] = str,
) -> Drawings:
    """Draw a placed box from above, from the left and from behind.

    Parameters
    ----------
    solid : Solid
    placement : Placement
    inches : bool
        Write lengths in inches and sixteenths instead of millimetres.
    say : callable
        Says a text in another language; a name that it does not know comes back as it is.

    Returns
    -------
    Drawings
        Every dimension stands for a gap, a size of the box or the space across it. The
        front of the car is to the left in plan and side.
    """
    scale = _scale(solid)
    letters = Lettering(inches=inches, say=say)
    parts = [hull_of(np.array(part)) for part in placement.parts]
    sheets = {view.name: _drawn(view, solid, placement, parts, scale, letters) for view in VIEWS}
    return Drawings(
        plan=sheets["plan"],
        side=sheets["side"],
        rear=sheets["rear"],
        scale=scale,
        legend=tuple(keep_out.name for keep_out in solid.keep_outs),
    )


def _scale(solid: Solid) -> int:
    """Return the largest scale at which the three views go on one sheet of A4 or Letter.

    Plan and side stand side by side above the rear view where the space is short, else
    the three below each other; dimensions and titles take their room besides. A space
    that would become too small that way is drawn larger, on two sheets.
    """
    depth, width, height = (float(size) * 1000 for size in solid.high - solid.low)

    def fits(scale: int) -> bool:
        if max(depth, width, height) > _PAPER_MM * scale:
            return False
        beside = depth <= _BESIDE_MM * scale and width + height <= _ABOVE_MM * scale
        return beside or width + 2 * height <= _STACKED_MM * scale

    longest = max(depth, width, height)
    legible = [scale for scale in SCALES if longest >= _LEAST_MM * scale]
    one_sheet = [scale for scale in legible if fits(scale)]
    two_sheets = [scale for scale in SCALES if longest <= _TWO_SHEETS_MM * scale]
    return (*one_sheet, *two_sheets, SCALES[-1])[0]


def _drawn(
    view: View,
    solid: Solid,
    placement: Placement,
    parts: list[Convex],
    scale: int,
    letters: Lettering,
) -> str:
    sheet, per_m = Sheet(), 1000.0 / scale
    window = _space(sheet, view, solid, per_m)
    _box(sheet, view, parts, placement, per_m)
    _over_the_box(sheet, view, solid, window, per_m)
    balloons = _balloons(sheet, view, solid, window, per_m)
    frame = Frame.around(view, window, parts, placement.gaps, per_m)
    _chains(sheet, frame, letters.inches)
    _caption(sheet, view, frame, placement, scale, letters)
    _legend(sheet, balloons, letters)
    return sheet.document(title=letters.say(_title(view, scale)), margin=2.0)


def _space(sheet: Sheet, view: View, solid: Solid, per_m: float) -> Floats:
    window = outline(view.flat(solid.envelope.vertices))
    sheet.polygon(spots(window, per_m), width=THICK, fill="#fff")
    for keep_out in solid.keep_outs:
        ring = clipped(outline(view.flat(keep_out.body.vertices)), window)
        if len(ring) > 2:
            sheet.polygon(spots(ring, per_m), width=MEDIUM, fill="url(#hatch)")
    for start, end, _ in edges_seen(solid.envelope, view):
        first, last = spots(np.stack([start, end]), per_m)
        sheet.line(first, last, ink=PALE, width=THIN)
    sheet.polygon(spots(window, per_m), width=THICK)
    return window


def _box(sheet: Sheet, view: View, parts: list[Convex], placement: Placement, per_m: float) -> None:
    for part in parts:
        ring = outline(view.flat(part.vertices))
        sheet.polygon(spots(ring, per_m), width=THICK, fill="#e4e4e4")
    for part in parts:
        for start, end, seen in edges_seen(part, view):
            first, last = spots(np.stack([start, end]), per_m)
            if np.hypot(first[0] - last[0], first[1] - last[1]) > 0.1:
                sheet.line(first, last, width=MEDIUM if seen else THIN, dash="" if seen else "2 1")
    _cone(sheet, view, parts, placement, per_m)


def _over_the_box(
    sheet: Sheet,
    view: View,
    solid: Solid,
    window: Floats,
    per_m: float,
) -> None:
    """Dash the outlines of keep-outs over the box, so that they can be followed there."""
    for keep_out in solid.keep_outs:
        ring = clipped(outline(view.flat(keep_out.body.vertices)), window)
        if len(ring) < 3:
            continue
        path = spots(np.vstack([ring, ring[:1]]), per_m)
        for start, end in pairwise(path):
            sheet.line(start, end, dash="2 1")


def _cone(
    sheet: Sheet, view: View, parts: list[Convex], placement: Placement, per_m: float
) -> None:
    """Mark the middle of the cone side, and the way that it fires."""
    cone = np.array(placement.cone)
    fits = [(float(np.abs(part.A @ cone - part.b).min()), k) for k, part in enumerate(parts)]
    part = parts[min(fits)[1]]
    normal = part.A[int(np.abs(part.A @ cone - part.b).argmin())]
    (middle,) = spots(view.flat(cone[None, :]), per_m)
    (end,) = spots(view.flat((cone + 0.09 * normal)[None, :]), per_m)
    away = np.hypot(end[0] - middle[0], end[1] - middle[1])
    if away < 2.0:
        for reach in (2.2, 1.1):
            sheet.circle(middle, reach, fill="none", width=THIN)
        for dx, dy in ((3.4, 0.0), (0.0, 3.4)):
            sheet.line((middle[0] - dx, middle[1] - dy), (middle[0] + dx, middle[1] + dy))
    else:
        sheet.line(middle, end, width=MEDIUM)
        sheet.arrow(end, (end[0] - middle[0], end[1] - middle[1]), size=3.0)


def _balloons(
    sheet: Sheet, view: View, solid: Solid, window: Floats, per_m: float
) -> list[tuple[int, str]]:
    """Number the keep-outs that show in this view."""
    shown = []
    taken: list[Spot] = []
    for number, keep_out in enumerate(solid.keep_outs, start=1):
        ring = clipped(outline(view.flat(keep_out.body.vertices)), window)
        if len(ring) < 3:
            continue
        x, y = ring.mean(axis=0) * per_m
        while any(np.hypot(x - tx, y - ty) < 4.6 for tx, ty in taken):
            y += 4.7
        taken.append((x, y))
        sheet.circle((x, y), 2.2)
        sheet.text((x, y + 1.0), str(number), size=2.8)
        shown.append((number, keep_out.name))
    return shown


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Where the dimension lines of one view run, in millimetres on paper."""

    per_m: float
    window: tuple[Spot, Spot]
    box: tuple[Spot, Spot]
    across: tuple[Gap, Gap]
    down: tuple[Gap, Gap]

    @classmethod
    def around(
        cls,
        view: View,
        window: Floats,
        parts: list[Convex],
        gaps: tuple[Gap, ...],
        per_m: float,
    ) -> Frame:
        """Lay the frame round the space and the box."""
        by_side = {gap.side: gap for gap in gaps}
        across, down = _SIDES[view.name]
        flat = view.flat(np.vstack([part.vertices for part in parts]))
        return cls(
            per_m=per_m,
            window=_corners(window * per_m),
            box=_corners(flat * per_m),
            across=(by_side[across[0]], by_side[across[1]]),
            down=(by_side[down[0]], by_side[down[1]]),
        )


def _corners(points: Floats) -> tuple[Spot, Spot]:
    low, high = points.min(axis=0), points.max(axis=0)
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))


def length_text(length_m: float, *, inches: bool) -> str:
    """Return a length for a drawing: whole millimetres, or inches and sixteenths."""
    if not inches:
        return f"{length_m * 1000:.0f}".replace("-", "−")
    sixteenths = round(abs(length_m) / 0.0254 * 16)
    whole, rest = divmod(sixteenths, 16)
    sign = "−" if length_m < 0 and sixteenths else ""
    if not rest:
        return f"{sign}{whole}"
    over, under = rest, 16
    while over % 2 == 0:
        over, under = over // 2, under // 2
    return f"{sign}{whole} {over}/{under}" if whole else f"{sign}{over}/{under}"


def _chains(sheet: Sheet, frame: Frame, inches: bool) -> None:
    """Draw the chains gap, box, gap below and to the right, and the space beyond them."""
    low, high = frame.window
    bottom = max(high[1], frame.box[1][1]) + 9.0
    side = max(high[0], frame.box[1][0]) + 9.0
    text = length_text(frame.across[1].gap_m, inches=inches)
    if not fits_between(abs(frame.across[1].gap_m) * frame.per_m, text):
        side += text_width(text)  # its figure stands beyond the chain
    for axis, pair, line in ((0, frame.across, bottom), (1, frame.down, side)):
        first, last = frame.box[0][axis], frame.box[1][axis]
        before = first - pair[0].gap_m * frame.per_m
        after = last + pair[1].gap_m * frame.per_m
        ends = (low[axis], high[axis])
        stops = (before, first, last, after)
        lengths = (pair[0].gap_m, (last - first) / frame.per_m, pair[1].gap_m)
        texts = [length_text(length, inches=inches) for length in lengths]
        _extensions(sheet, frame, axis, line, list(stops))
        apart = False
        for k, length in enumerate(lengths):
            if k != 1 and abs(length) < 5e-4:
                continue
            # An overlap, and a box too small for its figure, get a line of their own.
            own = length < 0 if k != 1 else not fits_between(last - first, texts[1])
            apart = apart or own
            start, end = sorted((stops[k], stops[k + 1]))
            at = line + (9.0 if own else 0.0)
            sheet.dimension(
                _spot(axis, start, at),
                _spot(axis, end, at),
                texts[k],
                outward=_outward(texts[k], k, (start, end), ends),
                bold=length < 0,
            )
        if apart:
            _extensions(sheet, frame, axis, line + 9.0, list(stops))
        total = line + (18.0 if apart else 9.0)
        _extensions(sheet, frame, axis, total, list(ends))
        sheet.dimension(
            _spot(axis, ends[0], total),
            _spot(axis, ends[1], total),
            length_text((ends[1] - ends[0]) / frame.per_m, inches=inches),
        )


def _outward(text: str, part: int, spans: Spot, ends: Spot) -> float:
    """Return where a figure that has no room begins, clear of the lines of the whole space.

    Negative: before the start; else beyond the end.
    """
    side = -1.0 if part == 0 else 1.0
    room = spans[0] - ends[0] if part == 0 else ends[1] - spans[1]
    return side * (room + 1.0 if 0.0 < room < text_width(text) + 4.5 else 1.0)


def _spot(axis: int, along: float, line: float) -> Spot:
    return (along, line) if axis == 0 else (line, along)


def _extensions(sheet: Sheet, frame: Frame, axis: int, line: float, stops: list[float]) -> None:
    edge = max(frame.window[1][1 - axis], frame.box[1][1 - axis]) + 1.0
    for stop in stops:
        sheet.line(_spot(axis, stop, edge), _spot(axis, stop, line + 1.5), width=THIN)


def _caption(
    sheet: Sheet,
    view: View,
    frame: Frame,
    placement: Placement,
    scale: int,
    letters: Lettering,
) -> None:
    left = min(frame.window[0][0], frame.box[0][0])
    top = min(frame.window[0][1] - 4.0, frame.box[0][1] - 4.0, sheet.low[1]) - 4.0
    unit = "inches" if letters.inches else "mm"
    text = f"Box {placement.orientation}. Lengths in {unit}."
    if view is not REAR:
        text = f"← front of the car. {text}"
    lines = _wrapped(letters.say(text), sheet.high[0] - left)
    for place, line in enumerate(reversed(lines)):
        sheet.text((left, top - 4.2 * place), line, anchor="start")
    title = letters.say(_title(view, scale))
    sheet.text((left, top - 4.2 * len(lines) - 0.8), title, size=4.0, anchor="start", bold=True)


def _title(view: View, scale: int) -> str:
    return f"{view.title} · 1:{scale}"


def _wrapped(text: str, room_mm: float) -> list[str]:
    lines = [""]
    for word in text.split():
        if lines[-1] and text_width(f"{lines[-1]} {word}") > room_mm:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _legend(sheet: Sheet, balloons: list[tuple[int, str]], letters: Lettering) -> None:
    """List the numbered keep-outs in as many columns as the sheet is wide."""
    shown = [(number, letters.say(name)) for number, name in balloons]
    left, top = sheet.low[0], sheet.high[1] + 7.0
    room = sheet.high[0] - left
    column = max((text_width(name) for _, name in shown), default=0.0) + 11.0
    columns = max(int(room // column), 1)
    for place, (number, name) in enumerate(shown):
        x = left + column * (place % columns)
        y = top + 5.4 * (place // columns)
        sheet.circle((x + 2.2, y - 1.0), 2.2)
        sheet.text((x + 2.2, y), str(number), size=2.8)
        sheet.text((x + 6.0, y), name, size=LETTER, anchor="start")


__all__ = ["PLAN", "REAR", "SIDE", "Drawings", "drawings", "length_text"]
