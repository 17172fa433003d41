"""Tilts that matter: leaning along a sloped surface, turning along a tapering side.

Between two surfaces that a box lies flush with, it gains nothing that it would not gain
by lying flush with one of them; so the angles looked at are those of the surfaces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from basswright.space.arrays import Floats

if TYPE_CHECKING:
    from basswright.space.solids import Solid

#: A smaller tilt is not worth a brace, and a larger one is another way to stand [deg].
LEAST_DEG, MOST_DEG = 3.0, 44.0
#: Angles closer together than this count as one [deg].
_SAME_DEG = 0.5
#: So many tilts at most; the surfaces of the envelope come first.
_MOST = 8
_STEEP = 0.35  # a wall whose normal rises less than this may be followed by turning

About = Literal["pitch", "yaw"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Tilt:
    """A small turn of a box, beyond the quarter turns.

    Attributes
    ----------
    about : str
        "pitch" about the axis across the car, "yaw" about the upright one.
    angle_deg : float
        Pitch: positive with the top towards the rear. Yaw: positive with the front
        towards the left.
    words : str
        "leaning 22° against the seat back".
    """

    about: About
    angle_deg: float
    words: str

    @property
    def turn(self) -> Floats:
        """Turn from the square position to the tilted one, shape (3, 3)."""
        angle = np.radians(self.angle_deg)
        c, s = np.cos(angle), np.sin(angle)
        if self.about == "yaw":
            return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        return np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]])


def tilts_of(solid: Solid) -> tuple[Tilt, ...]:
    """Return the tilts that a load space suggests: one for each slope that it has.

    Parameters
    ----------
    solid : Solid
        Its envelope gives pitches and yaws; upright faces of its keep-outs give yaws.

    Returns
    -------
    tuple of Tilt
        At most eight, between 3° and 44°, no two of them within half a degree.
    """
    found: list[Tilt] = []
    for tilt in _suggested(solid):
        same = any(
            tilt.about == other.about and abs(tilt.angle_deg - other.angle_deg) < _SAME_DEG
            for other in found
        )
        if LEAST_DEG <= abs(tilt.angle_deg) <= MOST_DEG and not same and len(found) < _MOST:
            found.append(tilt)
    return tuple(found)


def _suggested(solid: Solid) -> Iterator[Tilt]:
    for normal, name in zip(solid.A, solid.surfaces, strict=True):
        if abs(normal[1]) < 1e-6:
            yield _pitch(normal, name)
    for normal, name in zip(solid.A, solid.surfaces, strict=True):
        if abs(normal[2]) < _STEEP:
            yield _yaw(normal, name)
    for keep_out in solid.keep_outs:
        for normal in keep_out.body.A:
            if abs(normal[2]) < _STEEP:
                yield _yaw(normal, keep_out.name)


def _pitch(normal: Floats, name: str) -> Tilt:
    x, z = float(normal[0]), float(normal[2])
    quarter = _from_quarter(np.degrees(np.arctan2(z, x)))
    flat = abs(z) > abs(x)
    words = f"tipped {abs(quarter):.0f}° to lie along the {name}"
    if not flat:
        words = f"leaning {abs(quarter):.0f}° against the {name}"
    return Tilt(about="pitch", angle_deg=quarter, words=words)


def _yaw(normal: Floats, name: str) -> Tilt:
    quarter = _from_quarter(np.degrees(np.arctan2(normal[1], normal[0])))
    return Tilt(
        about="yaw",
        angle_deg=quarter,
        words=f"turned {abs(quarter):.0f}° to follow the {name}",
    )


def _from_quarter(angle_deg: float) -> float:
    """Return how far an angle is from the nearest quarter turn [deg]."""
    return float((angle_deg + 45.0) % 90.0 - 45.0)
