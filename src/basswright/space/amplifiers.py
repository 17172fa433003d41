"""Does the amplifier go in beside the placed box: on it, on the seat back or on the floor?

Each place is a flat one. The space is turned until that plane is its floor, the box and
the keep-outs stand in it as bodies, and the same exact search as for boxes says whether
the housing goes in with its cooling air, and with how much to spare.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from basswright.quantities import millimetres
from basswright.records.amplifier import Amplifier
from basswright.records.placement import Placement
from basswright.records.verdict import Relief, Verdict
from basswright.space.arrays import Floats
from basswright.space.polytope import Convex, convex
from basswright.space.solids import KeepOut, Solid
from basswright.space.templates import hull_of

#: Air over the fins and along the sides of a housing, and for the cables at its two ends
#: [m] (common practice, no source; the maker's manual decides).
OVER_M, BESIDE_M, ENDS_M = 0.025, 0.010, 0.050

_FLOOR, _SEAT, _BOX = "on the floor beside the box", "on the seat back", "on the box"
_CAUTION = {
    _FLOOR: "not where feet, spilled water or loose luggage reach it",
    _SEAT: "screw into no airbag wiring or seat lock: follow the vehicle maker",
    _BOX: "screws must not come through into the air of the box",
}
#: No housing stands closer to a cone than this [m] (common practice, no source).
BEFORE_CONE_M = 0.10

_STEPS = 8
_ORDERS = ((0, 1, 2), (1, 0, 2))
_CORNERS: Floats = np.array([[x, y, z] for z in (0, 1) for x in (0, 1) for y in (0, 1)], float)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Site:
    """A flat place for a housing: the space with that plane as its floor.

    `order` says which sizes of the housing lie along x, y and z there.
    """

    name: str
    space: Solid
    order: tuple[int, int, int]


def amplifier_verdict(solid: Solid, placement: Placement, amplifier: Amplifier) -> Verdict | None:
    """Say where beside a placed box the amplifier finds its place.

    Parameters
    ----------
    solid : Solid
    placement : Placement
        Of the box; its parts and the air in front of its cone are in the way.
    amplifier : Amplifier

    Returns
    -------
    Verdict or None
        Rule "amplifier place": the room that is left on the tightest side beyond the
        cooling and cable air, or by how much every size of the housing would have to
        shrink [mm]. None where its sheet does not give all three sizes.
    """
    width, height, depth = amplifier.width_m, amplifier.height_m, amplifier.depth_m
    if width is None or height is None or depth is None:
        return None
    thin, short, long_ = sorted((width, height, depth))
    size = np.array([long_ + 2 * ENDS_M, short + 2 * BESIDE_M, thin + OVER_M])
    sites = list(_sites(solid, placement))
    rooms: dict[str, float] = {}
    for site in sites:
        rooms[site.name] = max(rooms.get(site.name, -np.inf), _room(site, size))
    going = {name: room for name, room in rooms.items() if room >= 0}
    air = (
        f"with {millimetres(OVER_M)} of air over it, {millimetres(BESIDE_M)} beside it and "
        f"{millimetres(ENDS_M)} for cables at its ends, as is usual"
    )
    if going:
        best = max(going, key=lambda name: going[name])
        where = ", ".join(sorted(going))
        return _verdict(going[best], best, f"{where}; {air}; {_CAUTION[best]}", solid.tolerance_m)
    least, most = 0.0, float(size[0])
    for _ in range(_STEPS):
        middle = (least + most) / 2
        smaller = np.maximum(size - middle, 0.001)
        if any(_room(site, smaller) >= 0 for site in sites):
            most = middle
        else:
            least = middle
    return _verdict(-most, "room for the amplifier", f"no place, {air}", solid.tolerance_m)


def _verdict(room_m: float, limit: str, note: str, tolerance_m: float) -> Verdict:
    passes = room_m >= 0
    return Verdict(
        rule="amplifier place",
        passes=passes,
        margin=room_m * 1000,
        unit="mm",
        limit=limit,
        relief=None
        if passes
        else Relief(
            what="a smaller amplifier, or a place elsewhere", amount=-room_m * 1000, unit="mm"
        ),
        certainty="sure" if abs(room_m) > tolerance_m else "too close to call",
        note=note,
    )


def _room(site: _Site, size: Floats) -> float:
    """Return the least room along the axes of a place; -inf where the housing does not go."""
    from basswright.space.blocks import block_shape
    from basswright.space.unions import growth

    shape = block_shape(_CORNERS * size[list(site.order)])
    rooms: list[float] = []
    for axis in range(3):
        rooms.append(growth(site.space, [shape], axis)[0])
        if rooms[-1] == -np.inf:
            break
    return min(rooms)


def _sites(solid: Solid, placement: Placement) -> Iterator[_Site]:
    bodies = [hull_of(np.array(part)) for part in placement.parts]
    cone = np.array(placement.cone)
    free = [_before_cone(body, cone) for body in bodies]
    taken = [*bodies, *(body for body in free if body is not None)]
    whole = replace(solid, keep_outs=(*solid.keep_outs, *(_as_keep_out(b) for b in taken)))
    for order in _ORDERS:
        yield _Site(name=_FLOOR, space=whole, order=order)
    for normal, name in zip(solid.A, solid.surfaces, strict=True):
        if name == "seat back":
            turned = _turned(whole, _onto_floor(normal))
            for order in _ORDERS:
                yield _Site(name=_SEAT, space=turned, order=order)
    for body in bodies:
        for normal, offset in zip(body.A, body.b, strict=True):
            if normal[2] < -0.5 or abs(normal @ cone - offset) < 1e-6:
                continue
            for order in _ORDERS:
                over = _over_face(whole, body, (normal, float(offset)), order)
                if over is not None:
                    yield _Site(name=_BOX, space=over, order=order)


def _before_cone(body: Convex, cone: Floats) -> Convex | None:
    """Return the air in front of the cone side; None where this part has none."""
    for normal, offset in zip(body.A, body.b, strict=True):
        if abs(normal @ cone - offset) < 1e-6:
            side = body.vertices[np.abs(body.vertices @ normal - offset) < 1e-6]
            return hull_of(np.vstack([side, side + BEFORE_CONE_M * normal]))
    return None


def _as_keep_out(body: Convex) -> KeepOut:
    return KeepOut(name="box", reason="box", body=body, tolerance_m=0.0)


def _over_face(
    solid: Solid, body: Convex, face: tuple[Floats, float], order: tuple[int, int, int]
) -> Solid | None:
    """Return the space over one face of the box, no wider than the face and the air."""
    normal, offset = face
    corners = body.vertices[np.abs(body.vertices @ normal - offset) < 1e-6]
    turn = _onto_floor(-normal)
    flat = corners @ turn.T
    low, high = flat.min(axis=0)[:2], flat.max(axis=0)[:2]
    space = _turned(solid, turn)
    sides = np.array([[1.0, 0, 0], [-1.0, 0, 0], [0, 1.0, 0], [0, -1.0, 0], [0, 0, -1.0]])
    # the housing itself has to stay on the face, its air may reach over the edge
    x, y = (ENDS_M, BESIDE_M) if order[0] == 0 else (BESIDE_M, ENDS_M)
    own = np.array([high[0] + x, x - low[0], high[1] + y, y - low[1], -flat[:, 2].mean()])
    try:
        envelope = convex(np.vstack([space.A, sides]), np.concatenate([space.b, own]))
    except ValueError:
        return None
    return replace(
        space,
        envelope=envelope,
        surfaces=("",) * len(envelope.b),
        plane_tolerance_m=np.zeros(len(envelope.b)),
    )


def _onto_floor(normal: Floats) -> Floats:
    """Return a turn that makes a plane with this outward normal the floor, shape (3, 3)."""
    up = -normal
    first = np.cross([0.0, 1.0, 0.0], up)
    if np.linalg.norm(first) < 0.1:
        first = np.cross(up, [0.0, 0.0, 1.0])
    first = first / np.linalg.norm(first)
    return np.stack([first, np.cross(up, first), up])


def _turned(solid: Solid, turn: Floats) -> Solid:
    def body(old: Convex) -> Convex:
        return Convex(A=old.A @ turn.T, b=old.b, vertices=old.vertices @ turn.T, edges=old.edges)

    return replace(
        solid,
        envelope=body(solid.envelope),
        keep_outs=tuple(replace(k, body=body(k.body)) for k in solid.keep_outs),
        well=None,
    )
