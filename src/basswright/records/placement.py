"""Where a box stands in a load space, and how much air is left around it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from basswright.records.base import Record
from basswright.records.verdict import Verdict, VerdictTable

Point = tuple[float, float, float]


class Gap(Record):
    """Air between the placed box and the first surface on one side of it."""

    side: str = Field(description='"front", "rear", "left", "right", "above" or "below"')
    gap_m: float
    surface: str = Field(description="what stands there, as a person would name it")


class Placement(Record):
    """One box in its place.

    Positions are in the frame of the load space (see :mod:`basswright.records.space`).
    """

    orientation: str = Field(description="how it stands, in plain words")
    pitch_deg: float = Field(
        0.0, description="tilt beyond the quarter turns, top towards the rear positive"
    )
    yaw_deg: float = Field(
        0.0, description="turn beyond the quarter turns, front towards the left positive"
    )
    support: str = Field("", description="what a tilted box has to be held up by")
    parts: tuple[tuple[Point, ...], ...] = Field(
        description="corners of each convex part of the placed box, in metres"
    )
    cone: Point = Field(description="centre of the cone side")
    centre: Point = Field(description="centre of the outer shape")
    gaps: tuple[Gap, ...]
    binding: str = Field(description="the dimension that decides")
    luggage_lost_m3: float = Field(ge=0)
    luggage_left_m3: float = Field(ge=0)
    way_in: str = Field(description="which way round it passes the opening")
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True, kw_only=True)
class FitTable:
    """What the load space says of many boxes: one row a box.

    Attributes
    ----------
    fit : VerdictTable
        Rule "space": goes in with the wanted clearance, in mm.
    opening : VerdictTable
        Rule "opening": passes the opening, in mm.
    orientation_index : ndarray of int, shape (n,)
        Which of `orientations` the box stands in.
    orientations : tuple of str
    cone_m : ndarray of float, shape (n, 3)
        Centre of the cone side of the placed box [m]; for a box that does not go in,
        where it would be if the space were just large enough.
    luggage_lost_m3 : ndarray of float, shape (n,)
        Volume of the load space that the box takes [m3].
    luggage_space_m3 : float
        Volume of the empty load space [m3].
    """

    fit: VerdictTable
    opening: VerdictTable
    orientation_index: NDArray[np.intp]
    orientations: tuple[str, ...]
    cone_m: NDArray[np.float64]
    luggage_lost_m3: NDArray[np.float64]
    luggage_space_m3: float
