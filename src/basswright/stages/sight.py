"""Which boxes nobody sees: by the kind of load space, or under its cover."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright import space
from basswright.records.job import Job
from basswright.records.placement import FitTable
from basswright.records.space import LoadSpace, Zone
from basswright.records.verdict import VerdictTable
from basswright.space import BoxTable, Solid

#: Load spaces that nobody looks into: a closed boot, behind or under a seat, a well.
_HIDDEN: Final = ("saloon", "behind-seat", "under-seat", "spare-wheel-well")
#: A load space that everybody looks at.
_SEEN: Final = ("console",)
#: Margin of a box that stands where everybody sees it [mm].
_IN_FULL_VIEW_MM: Final = -1000.0
NO_COVER: Final = (
    "the box may not be seen, but no luggage cover is known (load_space.cover_height): no box "
    "is left out for it; measure from the floor to the underside of the cover"
)


@dataclass(frozen=True, kw_only=True)
class Sight:
    """Where n boxes stand, and whether they are seen.

    Attributes
    ----------
    fit : FitTable
        As they stand: under the cover where they go in there, else in the open.
    margin_mm : ndarray, shape (n,)
        Air left under the cover, negative where a box is seen; 0 where nothing has to
        be hidden.
    covered : ndarray of bool, shape (n,)
        Boxes that stand under the cover.
    below : Solid or None
        Load space below the cover, where it makes a difference.
    """

    fit: FitTable
    margin_mm: NDArray[np.float64]
    covered: NDArray[np.bool_]
    below: Solid | None = None


def unknown_cover(job: Job) -> bool:
    """Tell whether a box has to be hidden in a space of which no cover is known."""
    if job.wish.visible:
        return False
    load_space = job.car.load_space
    return load_space.kind not in (*_HIDDEN, *_SEEN) and cover_height_m(load_space) is None


def cover_height_m(load_space: LoadSpace) -> float | None:
    """Return the height of the luggage cover above the floor, None if none is known [m]."""
    found: float | None = getattr(load_space, "cover_height_m", None)
    return found


def as_hidden(load_space: LoadSpace, *, visible: bool) -> LoadSpace:
    """Return the space in which a box has to stay: without what lies above the cover."""
    height = cover_height_m(load_space)
    if visible or height is None or load_space.kind in _HIDDEN:
        return load_space
    above = Zone(
        name="luggage cover",
        reason="trim",
        from_seat_m=-2.0,
        length_m=6.0,
        left_of_centre_m=0.0,
        width_m=6.0,
        bottom_m=height,
        height_m=3.0,
    )
    return load_space.model_copy(update={"zones": (*load_space.zones, above)})


def judge(job: Job, boxes: BoxTable, whole: FitTable) -> Sight:
    """Judge which boxes are out of sight, and place them there where they go in.

    Parameters
    ----------
    job : Job
    boxes : BoxTable
    whole : FitTable
        Of the same boxes, in the whole load space.
    """
    count, load_space = whole.fit.margin.size, job.car.load_space
    nothing = np.zeros(count)
    covered = np.zeros(count, dtype=bool)
    if job.wish.visible or load_space.kind in _HIDDEN:
        return Sight(fit=whole, margin_mm=nothing, covered=covered)
    if load_space.kind in _SEEN:
        return Sight(fit=whole, margin_mm=nothing + _IN_FULL_VIEW_MM, covered=covered)
    hidden = as_hidden(load_space, visible=False)
    if hidden is load_space:
        return Sight(fit=whole, margin_mm=nothing, covered=covered)
    below = space.solid(hidden)
    under = space.fit(below, boxes, clearance_m=job.wish.clearance_m)
    covered = under.fit.passes & whole.fit.passes
    # a box that goes in nowhere fails for its size alone
    seen = whole.fit.passes & ~under.fit.passes
    margin = np.where(covered, np.maximum(under.fit.margin, 0.0), 0.0)
    margin = np.where(seen, np.minimum(under.fit.margin, -1e-3), margin)
    return Sight(fit=_joined(under, whole, covered), margin_mm=margin, covered=covered, below=below)


def _joined(under: FitTable, whole: FitTable, covered: NDArray[np.bool_]) -> FitTable:
    """Return each box as it stands under the cover, or in the open."""
    way = np.where(covered, under.orientation_index + len(whole.orientations), 0)
    return replace(
        whole,
        fit=_rows(under.fit, whole.fit, covered),
        orientation_index=np.where(covered, way, whole.orientation_index),
        orientations=(*whole.orientations, *under.orientations),
        cone_m=np.where(covered[:, None], under.cone_m, whole.cone_m),
        luggage_lost_m3=np.where(covered, under.luggage_lost_m3, whole.luggage_lost_m3),
    )


def _rows(under: VerdictTable, whole: VerdictTable, covered: NDArray[np.bool_]) -> VerdictTable:
    limits = list(dict.fromkeys((*whole.limits, *under.limits)))
    places = np.array([limits.index(name) for name in under.limits], dtype=np.intp)
    return replace(
        whole,
        passes=np.where(covered, under.passes, whole.passes),
        margin=np.where(covered, under.margin, whole.margin),
        limit_index=np.where(covered, places[under.limit_index], whole.limit_index),
        limits=tuple(limits),
        sure=np.where(covered, under.sure, whole.sure),
    )
