"""Air on every side of a placed box: how far it could slide before it touches."""

from __future__ import annotations

import numpy as np

from basswright.records.placement import Gap
from basswright.space.arrays import Floats
from basswright.space.polytope import Convex
from basswright.space.separation import AXES, unique_directions
from basswright.space.solids import Solid

SIDES: tuple[tuple[str, Floats], ...] = (
    ("front", np.array([1.0, 0.0, 0.0])),
    ("rear", np.array([-1.0, 0.0, 0.0])),
    ("left", np.array([0.0, 1.0, 0.0])),
    ("right", np.array([0.0, -1.0, 0.0])),
    ("above", np.array([0.0, 0.0, 1.0])),
    ("below", np.array([0.0, 0.0, -1.0])),
)


def gaps(solid: Solid, parts: list[Convex]) -> tuple[Gap, ...]:
    """Return the air on the six sides of a placed box, with what stands there.

    A gap is how far the box could slide that way before it touches; a negative one says
    by how much it is too far that way.

    Parameters
    ----------
    solid : Solid
    parts : list of Convex
        Convex parts of the box in their place.
    """
    walls = [_to_envelope(solid, parts, way) for _, way in SIDES]
    found = dict(zip((name for name, _ in SIDES), walls, strict=True))
    for keep_out in solid.keep_outs:
        for part in parts:
            normals = sum_normals(keep_out.body, part)
            over = -_slack(keep_out.body, part, normals)
            if over.max() <= -1e-9:  # inside the grown keep-out: the ways out are all blocked
                _push_out(found, keep_out.name, normals, -over)
                continue
            for name, way in SIDES:
                reach = _entry(normals @ way, over)
                if reach < found[name][0]:
                    found[name] = (reach, keep_out.name)
    return tuple(Gap(side=s, gap_m=_tidy(g), surface=what) for s, (g, what) in found.items())


def _tidy(gap_m: float) -> float:
    return 0.0 if abs(gap_m) < 1e-6 else float(gap_m)


def _to_envelope(solid: Solid, parts: list[Convex], way: Floats) -> tuple[float, str]:
    speed = solid.A @ way
    best, name = np.inf, ""
    for part in parts:
        slack = solid.b - (solid.A @ part.vertices.T).max(axis=1)
        toward = np.flatnonzero(speed > 1e-9)
        reach = slack[toward] / speed[toward]
        at = int(reach.argmin())
        if reach[at] < best:
            best, name = float(reach[at]), solid.surfaces[toward[at]]
    return best, name


def sum_normals(body: Convex, part: Convex) -> Floats:
    """Return normals n among which are all facets of ``body + (-part)``, shape (n, 3)."""
    one = body.vertices[body.edges[:, 1]] - body.vertices[body.edges[:, 0]]
    two = part.vertices[part.edges[:, 1]] - part.vertices[part.edges[:, 0]]
    crossed = np.cross(one[:, None, :], two[None, :, :]).reshape(-1, 3)
    size = np.linalg.norm(crossed, axis=1)
    crossed = crossed[size > 1e-9] / size[size > 1e-9, None]
    return unique_directions(np.vstack([body.A, -part.A, AXES, crossed, -crossed]))


def _slack(body: Convex, part: Convex, normals: Floats) -> Floats:
    """Return how far inside ``body + (-part)`` the part's reference point lies."""
    return np.asarray(
        (normals @ body.vertices.T).max(axis=1) - (normals @ part.vertices.T).min(axis=1)
    )


def _entry(speed: Floats, over: Floats) -> float:
    """Return when a point at signed distances `over` outside planes enters their solid."""
    entering = speed < -1e-12
    enter = float((over[entering] / -speed[entering]).max()) if entering.any() else -np.inf
    leaving = speed > 1e-12
    leave = float((-over[leaving] / speed[leaving]).min()) if leaving.any() else np.inf
    level = np.abs(speed) <= 1e-12
    if (over[level] > -1e-9).any() or leave <= max(enter, 0.0) + 1e-9 or enter < -1e-9:
        return np.inf
    return max(enter, 0.0)


def _push_out(
    found: dict[str, tuple[float, str]], name: str, normals: Floats, depth: Floats
) -> None:
    """Note the side on which the least slide back would free the box."""
    ways = []
    for side, way in SIDES:
        speed = normals @ -way
        out = speed > 1e-12
        ways.append((float((depth[out] / speed[out]).min()), side))
    least, side = min(ways)
    if -least < found[side][0]:
        found[side] = (-least, name)
