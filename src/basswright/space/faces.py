"""Air that the faces of a box want, and which of them it must not stand on.

Faces are numbered as in :data:`basswright.records.faces.FACES`: low and high side of the
box's own depth, width and height.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from basswright.quantities import millimetres
from basswright.records.enclosure import Enclosure, Port
from basswright.records.faces import FACES, Face
from basswright.records.placement import Gap
from basswright.records.verdict import Relief, Verdict
from basswright.space.arrays import Bools, Floats

#: Air wanted in front of a cone beyond its excursion: suspension and grille (common
#: practice, no source).
BEYOND_EXCURSION_M = 0.015

#: One-way excursion taken where a data sheet is silent, as a share of the cone's nominal
#: diameter: 8 to 15 inch drivers reach 4 to 6 % of it (common practice, no source).
EXCURSION_SHARE = 0.055

#: Room for a plug and the bend of a loudspeaker cable where a sheet is silent (common
#: practice, no source).
CABLE_BEND_M = 0.040

_SIDES: dict[tuple[int, int], str] = {
    (0, 1): "front",
    (0, -1): "rear",
    (1, 1): "left",
    (1, -1): "right",
    (2, 1): "above",
    (2, -1): "below",
}

_CONE_FACE: dict[str, Face] = {"front": "front", "up": "top", "down": "bottom"}


def cone_air_m(enclosure: Enclosure) -> float:
    """Return the air that the cone wants [m]: as told, or excursion and 15 mm."""
    told = enclosure.faces.cone_air_m if enclosure.faces else None
    if told is not None:
        return told
    driver = enclosure.driver
    excursion = EXCURSION_SHARE * driver.size_m if driver.Xmax_m is None else driver.Xmax_m
    return excursion + BEYOND_EXCURSION_M


def port_air_m(enclosure: Enclosure) -> float:
    """Return the air that the port wants [m]; 0 without one."""
    faces = enclosure.faces
    if faces is not None and faces.port_air_m is not None:
        return faces.port_air_m
    return _across(enclosure.ports)


def _across(port: Port | None) -> float:
    """About one port diameter; a slot counts with its narrow side (common practice)."""
    if port is None:
        return 0.0
    sides = [s for s in (port.diameter_m, port.height_m, port.width_m) if s is not None]
    return min(sides, default=0.0)


def _radiator_air_m(enclosure: Enclosure) -> float:
    radiators = enclosure.radiators
    if radiators is None:
        return 0.0
    size = radiators.size_m or enclosure.driver.size_m
    excursion = EXCURSION_SHARE * size if radiators.Xmax_m is None else radiators.Xmax_m
    return excursion + BEYOND_EXCURSION_M


def own_air_m(enclosures: Sequence[Enclosure]) -> Floats:
    """Return the air that each face wants beyond the common clearance, shape (n, 6) [m]."""
    air = np.zeros((len(enclosures), len(FACES)))
    for row, box in enumerate(enclosures):
        cone = _CONE_FACE[box.firing]
        faces = box.faces
        wants: list[tuple[Face, float]] = [
            (cone, cone_air_m(box)),
            ((faces and faces.port) or cone, port_air_m(box)),
            ((faces and faces.radiators) or cone, _radiator_air_m(box)),
        ]
        if faces is not None and faces.terminals is not None:
            told = faces.terminals_air_m
            wants.append((faces.terminals, CABLE_BEND_M if told is None else told))
        for face, wanted in wants:
            at = FACES.index(face)
            air[row, at] = max(air[row, at], wanted)
    return air


def never_down(enclosures: Sequence[Enclosure]) -> Bools:
    """Return which faces a box must not stand on besides that of the cone, shape (n, 6).

    Those that its sheet names, and those of port, passive radiators and terminals; a
    box that fires down stands on its feet and keeps its bottom.
    """
    found = np.zeros((len(enclosures), len(FACES)), dtype=bool)
    for row, box in enumerate(enclosures):
        if box.faces is None:
            continue
        carrying = (box.faces.port, box.faces.radiators, box.faces.terminals)
        for face in (*carrying, *box.faces.never_down):
            if face is not None and not (face == "bottom" and box.firing == "down"):
                found[row, FACES.index(face)] = True
    return found


def face_verdicts(enclosure: Enclosure, gaps: Sequence[Gap], turn: Floats) -> tuple[Verdict, ...]:
    """Say of a placed box what its faces want beyond the air that it was placed with.

    Parameters
    ----------
    enclosure : Enclosure
    gaps : sequence of Gap
        Round the placed box.
    turn : ndarray, shape (3, 3)
        Own frame to car frame.

    Returns
    -------
    tuple of Verdict
        Rule "cables" [mm], where the sheet does not tell on which side the terminals
        are: some side other than that of the cone has to leave room for a plug. Rule
        "air under the cone" [mm], for a box that fires down and whose feet are told.
    """
    found = []
    if enclosure.faces is None or enclosure.faces.terminals is None:
        found.append(_cables(enclosure, gaps, turn))
    if enclosure.firing == "down" and enclosure.feet_m is not None:
        room = enclosure.feet_m - cone_air_m(enclosure)
        found.append(_verdict("air under the cone", room, "height of the feet", ""))
    return tuple(found)


def _cables(enclosure: Enclosure, gaps: Sequence[Gap], turn: Floats) -> Verdict:
    face = FACES.index(_CONE_FACE[enclosure.firing])
    way = turn[:, face // 2] * (1 if face % 2 else -1)
    axis = int(np.abs(way).argmax())
    closed = {"below", _SIDES[axis, 1 if way[axis] > 0 else -1]}
    best = max((gap for gap in gaps if gap.side not in closed), key=lambda gap: gap.gap_m)
    note = (
        "the sheet does not tell where the terminals are: "
        f"{millimetres(CABLE_BEND_M)} for plug and bend are wanted on their side, as is usual"
    )
    side = "above" if best.side == "above" else f"at the {best.side}"
    return _verdict("cables", best.gap_m - CABLE_BEND_M, f"air {side}", note)


def _verdict(rule: str, room_m: float, limit: str, note: str) -> Verdict:
    passes = room_m >= -1e-6
    return Verdict(
        rule=rule,
        passes=passes,
        margin=0.0 if abs(room_m) < 1e-6 else room_m * 1000,
        unit="mm",
        limit=limit,
        relief=None if passes else Relief(what=limit, amount=-room_m * 1000, unit="mm"),
        note=note,
    )
