"""Air on single faces, faces that must not be stood on, terminals and feet."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from basswright.records.enclosure import PassiveRadiators, Port
from basswright.records.faces import FACES, Face, Faces
from basswright.records.placement import Placement
from basswright.records.shapes import Cuboid, LShape, Wedge
from basswright.space import box_table, fit, place, solid

from .examples import bare_room, enclosure, full_boot

_CONE = 0.012 + 0.015
_CUBE = Cuboid(width_m=0.5, height_m=0.3, depth_m=0.4)


def test_air_told_for_the_cone_takes_the_place_of_the_estimate() -> None:
    """A room 0.48 m deep and too narrow to turn the box leaves 80 mm, 60 of them asked for."""
    room = solid(bare_room(0.5, 0.35, 0.48))
    upright = FACES[:4]  # it may stand on its bottom or its top alone
    for air, left in ((0.06, 20.0), (0.09, -10.0)):
        box = enclosure(_CUBE, faces=Faces(cone_air_m=air, never_down=upright))
        found = fit(room, box_table([box]), clearance_m=0.0).fit
        assert found.passes[0] == (left > 0)
        margin = min(left, 0.0)  # no width to spare
        assert found.margin[0] == pytest.approx(margin, abs=1e-5)


@pytest.mark.parametrize("face", ["back", "left", "right"])
def test_a_face_grows_by_its_own_air_alone(face: Face) -> None:
    """Terminals with 60 mm of room make the box longer on their side, and nowhere else."""
    room = solid(bare_room(1.2, 0.6, 1.2))
    faces = Faces(terminals=face, terminals_air_m=0.06)
    placed = place(room, enclosure(_CUBE, faces=faces), clearance_m=0.005)
    assert placed.verdicts[0].passes
    axis, side = divmod(FACES.index(face), 2)
    corners = np.array(placed.parts[0])
    size = corners[-1] - corners[0]  # own low to own high corner
    own = np.eye(3)[axis] * (1.0 if side else -1.0)
    turn = np.stack(
        [(corners[2] - corners[0]), (corners[1] - corners[0]), (corners[4] - corners[0])], axis=1
    )
    way = (turn / np.linalg.norm(turn, axis=0)) @ own
    assert np.abs(size).min() > 0
    where = {(0, 1): "front", (0, -1): "rear", (1, 1): "left", (1, -1): "right"}
    car = int(np.abs(way).argmax())
    gap = next(g for g in placed.gaps if g.side == where[car, int(np.sign(way[car]))])
    assert gap.gap_m >= 0.06 - 1e-9


def _low_room(faces: Faces | None) -> Placement:
    """A room so low that the box has to lie on one of its sides."""
    shape = Cuboid(width_m=0.3, height_m=0.5, depth_m=0.45)
    return place(solid(bare_room(1.5, 0.34, 1.2)), enclosure(shape, faces=faces), clearance_m=0.0)


def test_a_box_is_not_laid_on_a_face_that_it_must_not_stand_on() -> None:
    """Only an end on the floor goes in; with both ends forbidden nothing does."""
    assert _low_room(None).verdicts[0].passes
    left = _low_room(Faces(never_down=("left",)))
    assert left.verdicts[0].passes
    assert "right end" in left.orientation
    assert "left end" in _low_room(Faces(terminals="right")).orientation
    assert not _low_room(Faces(never_down=("left", "right"))).verdicts[0].passes


def test_a_port_on_another_side_moves_its_air_there() -> None:
    """A 100 mm port on the left end wants 100 mm there and nothing before the cone."""
    box = enclosure(_CUBE, kind="vented", ports=Port(diameter_m=0.1), faces=Faces(port="left"))
    table = box_table([box])
    air = dict(zip(FACES, table.face_air_m[0], strict=True))
    assert air["front"] == pytest.approx(_CONE)
    assert air["left"] == pytest.approx(0.1)
    assert air["right"] == air["back"] == air["top"] == air["bottom"] == 0.0


def test_passive_radiators_want_air_where_they_are() -> None:
    """Their excursion and 15 mm: on the cone side where the sheet is silent."""
    radiators = PassiveRadiators(size_m=0.3, Xmax_m=0.02)
    silent = box_table([enclosure(_CUBE, kind="passive-radiator", radiators=radiators)])
    assert silent.face_air_m[0, 0] == pytest.approx(0.035)
    told = box_table(
        [
            enclosure(
                _CUBE, kind="passive-radiator", radiators=radiators, faces=Faces(radiators="top")
            )
        ]
    )
    assert told.face_air_m[0, 0] == pytest.approx(_CONE)
    assert told.face_air_m[0, 5] == pytest.approx(0.035)


@pytest.mark.parametrize(
    "shape",
    [
        _CUBE,
        Wedge(width_m=0.5, height_m=0.3, depth_bottom_m=0.4, depth_top_m=0.3),
        LShape(width_m=0.5, height_m=0.3, depth_m=0.4, notch_height_m=0.1, notch_depth_m=0.1),
    ],
    ids=["cuboid", "wedge", "l-shape"],
)
def test_more_air_on_a_face_never_helps(shape: Any) -> None:
    """Margins fall, or stay, as the air on one face grows."""
    space = solid(full_boot())
    for face in ("back", "left", "top"):
        boxes = [
            enclosure(
                shape, id=f"{face}-{mm}", faces=Faces(terminals=face, terminals_air_m=mm / 1000)
            )
            for mm in (0, 40, 150, 400)
        ]
        passes = fit(space, box_table(boxes), clearance_m=0.005).fit.passes
        assert (np.diff(passes.astype(int)) <= 0).all()


def test_terminals_that_are_not_told_of_are_looked_for_a_side() -> None:
    """The largest gap beside the cone's has to leave 40 mm; the note says it is an estimate."""
    placed = place(solid(full_boot()), enclosure(_CUBE), clearance_m=0.005)
    cables = next(v for v in placed.verdicts if v.rule == "cables")
    assert cables.passes
    best = max(gap.gap_m for gap in placed.gaps if gap.side not in ("below", "rear"))
    assert cables.margin == pytest.approx(1000 * (best - 0.04))
    assert "does not tell" in cables.note
    told = enclosure(_CUBE, faces=Faces(terminals="back"))
    there = place(solid(full_boot()), told, clearance_m=0.005)
    assert all(v.rule != "cables" for v in there.verdicts)


def test_feet_leave_the_cone_its_air_or_not() -> None:
    """12 mm of excursion and 15 mm want 27 mm under a cone that fires down."""
    for feet, margin in ((0.04, 13.0), (0.02, -7.0)):
        box = enclosure(_CUBE, firing="down", feet_m=feet)
        placed = place(solid(full_boot()), box, clearance_m=0.005)
        under = next(v for v in placed.verdicts if v.rule == "air under the cone")
        assert under.margin == pytest.approx(margin)
        assert under.passes == (margin > 0)
