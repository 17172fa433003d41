"""A second fleet of invented cars, drawn and built in another way than the first.

Nothing of the product's cabin is set by these cars: they are only looked at. A side
view of straight lines, doors and glass as clamped plates, seats as blocks lined with
porous foam, the boot of a saloon a second room behind a seat back and a shelf with real
holes. Ranges are common practice without a source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Cabin, Car, Charging, HeadUnit, Listener
from basswright.records.space import BootSpace, Opening
from tests.sound.cabin.brick_acoustics import (
    Array,
    Bricks,
    Curve,
    Mask,
    Plate,
    clamped,
    miki,
    room_answer,
)

BODIES = ("hatchback", "estate", "saloon", "suv", "pickup")

#: Load floor's length, dashboard ahead of the seat back, width, height, rear overhang.
_SIZES = {
    "hatchback": ((0.6, 0.8), (1.65, 1.85), (1.34, 1.46), (1.1, 1.22), (0.1, 0.35)),
    "estate": ((0.95, 1.15), (1.7, 1.9), (1.4, 1.5), (1.12, 1.22), (0.15, 0.4)),
    "saloon": ((0.85, 1.1), (1.7, 1.95), (1.38, 1.5), (1.08, 1.18), (0.05, 0.2)),
    "suv": ((0.8, 1.0), (1.7, 1.95), (1.42, 1.56), (1.18, 1.3), (0.1, 0.3)),
    "pickup": ((0.12, 0.25), (1.5, 1.75), (1.4, 1.54), (1.14, 1.28), (0.0, 0.08)),
}


@dataclass(frozen=True)
class BrickCar:
    """One car: readings for the fitter, and the inside that they are readings of."""

    car: Car
    cones: Array
    inside: Inside
    seed: int

    def transfer(self, frequency_hz: Array, *, edge: float = 0.1) -> NDArray[np.complex128]:
        """Pressure at the ear over volume velocity from both places, shape (2, f)."""
        return _answer(self, frequency_hz, edge)


@dataclass(frozen=True)
class Inside:
    """Numbers of one car [m]."""

    body: str
    depth: float
    dash: float
    width: float
    height: float
    overhang: float
    drop: float
    lean: float
    shelf: float
    ear: Array
    bench_m: float
    hole_m2: float
    hole_at: Array

    @property
    def roof(self) -> float:
        return self.height - self.drop

    def side_view(self) -> list[tuple[float, float]]:
        """Corners of the cabin seen from the side, without the boot of a saloon."""
        roof, floor, belt = self.roof, -self.drop, self.roof - 0.45
        front = [
            (self.ear[0] + 0.1, roof),
            (self.dash + 0.45, belt),
            (self.dash, belt - 0.03),
            (self.dash + 0.1, floor + 0.45),
            (self.dash + 0.45, floor + 0.4),
            (self.dash + 0.3, floor + 0.05),
            (self.dash, floor),
            (0.75, floor),
            (0.7, floor + 0.12),
        ]
        if self.body == "saloon":
            back = -self.shelf * self.lean
            rear = [(0.1, -0.05), (back + 0.1, self.shelf + 0.1), (back - 0.4, self.shelf + 0.1)]
            return [*front, *rear, (back - 0.35, self.shelf + 0.2), (back + 0.15, roof - 0.03)]
        return [*front, (0.05, floor + 0.14), (0.0, 0.0), (-self.depth, 0.0),
                (-self.depth, 0.5 * roof), (-self.depth + self.overhang, roof - 0.02)]  # fmt: skip

    def cabin(self, x: Array, y: Array, z: Array) -> Mask:
        waist = np.clip((z - self.roof + 0.5) / 0.5, 0, 1)
        half = self.width / 2 - 0.16 * waist**1.5 - 0.05 * np.clip(-x, 0, 1)
        arch = (np.hypot(x + 0.35, z) < 0.33) & (np.abs(y) > self.width / 2 - 0.2)
        return in_polygon(self.side_view(), x, z) & (np.abs(y) < half) & ~(arch & (x < 0))

    def boot(self, x: Array, y: Array, z: Array) -> Mask:
        if self.body != "saloon":
            return np.zeros(np.shape(x), dtype=bool)
        tail = -self.depth + self.overhang * np.clip(z / self.shelf, 0, 1)
        arch = (np.hypot(x + 0.4, z) < 0.32) & (np.abs(y) > self.width / 2 - 0.22)
        block = (z > 0) & (z < self.shelf) & (x > tail) & (x < -self.lean * z - 0.02)
        return block & (np.abs(y) < self.width / 2 - 0.05) & ~arch

    def seats(self, x: Array, y: Array, z: Array) -> Mask:
        """Front seats and the driver; the bench of a car that has one."""
        ex, ey, ez = self.ear
        over = z + self.drop
        out = np.zeros(np.shape(x), dtype=bool)
        for side in (ey, -ey):
            near = np.abs(y - side) < 0.21
            back = ex - 0.12 + 0.35 * (ez - z)
            out |= near & (x < back) & (x > back - 0.1) & (z < ez - 0.1) & (over > 0.3)
            out |= near & (x > ex + 0.05) & (x < ex + 0.55) & (over > 0.2) & (over < 0.32)
        out |= (np.abs(y - ey) < 0.17) & (np.abs(x - ex) < 0.1) & (z < ez - 0.2) & (over > 0.3)
        if ex > 0.7:
            out |= (np.abs(y) < 0.4 * self.width) & (x > 0.12) & (x < 0.55) & (over < 0.3)
            if self.bench_m > 0:
                foot = -self.lean * z
                wide = np.abs(y) < 0.4 * self.width
                out |= wide & (np.abs(x - foot - 0.06) < 0.06) & (z < self.bench_m)
        return out


def brick_car(body: str, seed: int) -> BrickCar:
    """Draw one car; the same body and seed give the same car."""
    rng = np.random.default_rng([31, seed, BODIES.index(body)])
    depth, dash, width, height, overhang = (float(rng.uniform(*ends)) for ends in _SIZES[body])
    drop = float(rng.uniform(0.16, 0.32))
    if body == "pickup" and seed % 3 == 0:
        dash = float(rng.uniform(0.95, 1.1))
    ear = [
        dash - rng.uniform(0.6, 0.8),
        rng.uniform(0.33, 0.38),
        height - drop - rng.uniform(0.15, 0.22),
    ]
    shelf = float(rng.uniform(0.45, 0.55))
    count = int(rng.integers(2, 13))
    folded = body == "saloon" or rng.random() < 0.6  # bench folded, or a low one of two halves
    bench = 0.0 if folded else float(rng.uniform(0.35, 0.5))
    inside = Inside(
        body=body, depth=depth, dash=dash, width=width, height=height, overhang=overhang,
        drop=drop, lean=float(np.tan(np.radians(rng.uniform(16, 26)))), shelf=shelf,
        ear=np.array(ear), bench_m=bench, hole_m2=0.01 * count,
        hole_at=rng.uniform([-0.3, 0.2], [0.3, 0.9]),
    )  # fmt: skip
    cones = _places(inside, rng)
    return BrickCar(car=_readings(inside, seed, rng), cones=cones, inside=inside, seed=seed)


def in_polygon(corners: list[tuple[float, float]], x: Array, z: Array) -> Mask:
    """Say which points lie in a polygon (crossings of a ray)."""
    inside = np.zeros(np.shape(x), dtype=bool)
    for (ax, az), (bx, bz) in zip(corners, corners[1:] + corners[:1], strict=True):
        between = (az > z) != (bz > z)
        inside ^= between & (x < (bx - ax) * (z - az) / (bz - az + 1e-12) + ax)
    return inside


def _places(inside: Inside, rng: np.random.Generator) -> Array:
    reach = {"pickup": 0.04, "saloon": 0.35}.get(inside.body, 0.22)
    rear = -inside.depth + inside.overhang + (0.05 if inside.body == "pickup" else 0.15)
    ends = [min(rear, -reach - 0.02), -0.42, 0.13], [-reach, 0.42, 0.32]
    first, second = rng.uniform(*ends), rng.uniform(*ends)
    second[1] = -np.copysign(second[1], first[1])
    return np.stack([first, second])


def _bricks(inside: Inside, edge: float) -> tuple[Bricks, Mask]:
    """Open cubes, and which of them lie in the boot; the holes are open cubes too."""
    low = np.array([-inside.depth - edge, -inside.width / 2 - 0.02, -inside.drop - 0.02])
    high = np.array([inside.dash + 0.5, inside.width / 2 + 0.02, inside.roof + 0.02])
    counts = np.ceil((high - low) / edge).astype(int)
    low[1] = -edge * counts[1] / 2
    axes = [low[a] + edge * (np.arange(counts[a]) + 0.5) for a in range(3)]
    x, y, z = np.meshgrid(*axes, indexing="ij")
    cabin = inside.cabin(x, y, z) & ~inside.seats(x, y, z)
    boot = inside.boot(x, y, z) & ~cabin
    if inside.body == "saloon":
        for axis in (0, 2):  # a wall of one cube at least between the two rooms
            for shift in (1, -1):
                cabin &= ~(np.roll(boot, shift, axis))
        cabin |= _holes(inside, cabin, boot, (y, z), edge)
    return Bricks(edge=edge, corner=low, open_=cabin | boot), boot


def _holes(inside: Inside, cabin: Mask, boot: Mask, at: tuple[Array, Array], edge: float) -> Mask:
    """Cubes of the wall above or beside which lie boot and cabin, nearest the hole's place."""
    wall = ~cabin & ~boot
    flat = wall & np.roll(boot, 1, 2) & np.roll(cabin, -1, 2)
    upright = wall & np.roll(boot, 1, 0) & np.roll(cabin, -1, 0)
    y, z = at
    apart = np.abs(y - inside.hole_at[0] * inside.width) + np.abs(
        z - inside.hole_at[1] * inside.shelf
    )
    chosen = np.zeros(wall.shape, dtype=bool)
    places = np.argwhere(flat | upright)
    order = np.argsort(apart[tuple(places.T)], kind="stable")
    count = max(1, round(inside.hole_m2 / edge**2))
    chosen[tuple(places[order[:count]].T)] = True
    return chosen


def _answer(one: BrickCar, frequency_hz: Array, edge: float) -> NDArray[np.complex128]:
    inside = one.inside
    bricks, boot = _bricks(inside, edge)
    rng = np.random.default_rng([77, one.seed, BODIES.index(inside.body)])
    nodes = bricks.nodes()
    behind = np.zeros(len(nodes), dtype=bool)
    behind[bricks.number[:-1, :-1, :-1][boot]] = True
    _, middle, normal = bricks.skin()
    walls = _linings(inside, middle, normal, rng)
    plates = [*_outer_plates(inside, bricks, rng), _seal(inside, bricks, nodes, rng)]
    if inside.body == "saloon":
        plates += _bulkhead(inside, bricks, rng)
    load = np.stack(
        [_smear(nodes, cone, 0.12, behind == (inside.body == "saloon")) for cone in one.cones]
    )
    ear = _smear(nodes, inside.ear, 0.06, ~behind)
    return room_answer(
        bricks, frequency_hz, (load, ear), walls=walls, plates=plates,
        air_loss=float(rng.uniform(0.05, 0.2)),
    )  # fmt: skip


def _smear(nodes: Array, place: Array, radius: float, only: Mask) -> Array:
    weight = np.exp(-0.5 * (np.linalg.norm(nodes - place, axis=1) / radius) ** 2) * only
    return weight / weight.sum()


def _linings(
    inside: Inside, middle: Array, normal: Array, rng: np.random.Generator
) -> list[tuple[Mask, Curve]]:
    z = middle[:, 2]
    headliner = (normal[:, 2] < 0) & (z > inside.roof - 0.25)
    carpet = (normal[:, 2] > 0) & (z < 0.12)
    foam = inside.seats(*(middle - 0.06 * normal).T)
    trim = ~(headliner | carpet | foam)
    return [
        (headliner, miki(rng.uniform(0.008, 0.02), rng.uniform(15e3, 50e3))),
        (carpet & ~foam, miki(rng.uniform(0.01, 0.03), rng.uniform(10e3, 40e3))),
        (foam, miki(rng.uniform(0.04, 0.09), rng.uniform(5e3, 20e3))),
        (trim, miki(rng.uniform(0.005, 0.03), rng.uniform(20e3, 60e3))),
    ]


def _sin2(value: Array, low: float, high: float) -> Array:
    share = np.clip((value - low) / (high - low), 0, 1)
    return np.sin(np.pi * share) ** 2


def _outer_plates(inside: Inside, bricks: Bricks, rng: np.random.Generator) -> list[Plate]:
    faces, middle, normal = bricks.skin()
    x, y, z = middle.T
    half, roof, ex = inside.width / 2, inside.roof, inside.ear[0]
    rear = -0.45 if inside.body == "saloon" else -inside.depth
    up, back = normal[:, 2] < 0, normal[:, 0] > 0
    lid = inside.boot(*(middle + 0.05 * normal).T)
    specs = [  # faces, along, its ends, across, its ends, mass, first mode, share that gives
        (
            up & ~lid & (z > roof - 0.2),
            x,
            (rear, ex),
            y,
            (-half, half),
            (7, 11),
            (28, 60),
            (0.6, 1.0),
        ),
        (
            up & (x > ex),
            x,
            (ex, inside.dash + 0.5),
            y,
            (-half, half),
            (11, 14),
            (60, 110),
            (0.5, 0.9),
        ),
        (
            (normal[:, 2] > 0) & ~lid & (z < 0.1),
            x,
            (rear, inside.dash),
            y,
            (-half, half),
            (15, 28),
            (70, 140),
            (0.2, 0.5),
        ),
    ]
    if inside.body != "pickup":
        specs.append(
            (back & (x < -0.2), y, (-half, half), z, (0.0, roof), (14, 26), (30, 65), (0.6, 1.0))
        )
    if lid.any():
        specs.append(
            (up & lid, x, (-inside.depth, -0.2), y, (-half, half), (8, 14), (30, 70), (0.3, 0.8))
        )
    for sign in (-1, 1):
        for low, high in ((ex - 0.4, inside.dash), (0.0, ex - 0.4)):
            if high - low > 0.3:
                skin = (sign * normal[:, 1] < 0) & (sign * y > 0.3 * half)
                specs.append(
                    (skin, x, (low, high), z, (-inside.drop, roof), (12, 20), (40, 90), (0.4, 0.8))
                )
    count = int(bricks.number.max()) + 1
    out = []
    for chosen, a, a_ends, b, b_ends, mass, first, share in specs:
        shape = chosen * _sin2(a, *a_ends) * _sin2(b, *b_ends)
        if shape.sum() == 0:
            continue
        area = (a_ends[1] - a_ends[0]) * (b_ends[1] - b_ends[0]) * rng.uniform(*share)
        flow = _on_nodes(faces, shape, count) * (area / 4)
        curve = clamped(area, mass_kg_m2=rng.uniform(*mass), first_hz=rng.uniform(*first),
                        loss=rng.uniform(0.1, 0.4))  # fmt: skip
        out.append(Plate(flow, curve))
    return out


def _on_nodes(faces: NDArray[np.intp], shape: Array, count: int) -> Array:
    weight = np.bincount(faces.ravel(), np.repeat(shape, 4), count)
    return weight / weight.sum()


def _seal(inside: Inside, bricks: Bricks, nodes: Array, rng: np.random.Generator) -> Plate:
    """Gaps at the doors: resistance and mass of air, corner of 2 to 9 Hz."""
    corner, mass_hz = np.exp(rng.uniform(*np.log([2, 9]))), rng.uniform(12, 70)
    volume = bricks.open_.sum() * bricks.edge**3
    conductance = 2 * np.pi * corner * volume / (1.204 * 343.2**2)
    edge = np.abs(nodes[:, 1]) > 0.4 * inside.width
    spread = edge * np.exp(-(((nodes[:, 0] - 0.5 * inside.dash) / 0.6) ** 2))
    return Plate(
        spread / spread.sum(),
        lambda omega: conductance / (1 + 1j * omega / (2 * np.pi * mass_hz)),
    )


def _bulkhead(inside: Inside, bricks: Bricks, rng: np.random.Generator) -> list[Plate]:
    """Shelf and seat back as plates between the rooms, and upholstery that lets air seep."""
    faces, middle, normal = bricks.skin()
    x, y, z = middle.T
    half, count = inside.width / 2, int(bricks.number.max()) + 1
    in_boot = inside.boot(*(middle + 0.05 * normal).T)
    near = 0.25
    flat_top = (
        (normal[:, 2] > 0) & ~in_boot & (np.abs(z - inside.shelf - 0.05) < near) & (x < -0.05)
    )
    flat_low = (normal[:, 2] < 0) & in_boot & (z > inside.shelf - near) & (x < -0.1)
    back_front = (normal[:, 0] > 0) & ~in_boot & (z < inside.shelf) & (x < 0.25)
    back_rear = (normal[:, 0] < 0) & in_boot & (x > -0.45)
    ends_y = (-half, half)
    back = -inside.shelf * inside.lean
    shelf = _sin2(x, back - 0.45, back + 0.15) * _sin2(y, *ends_y) + 1e-9
    seat = _sin2(z, -0.05, inside.shelf) * _sin2(y, *ends_y) + 1e-9
    out = []
    for upper, lower, shape, area, mass, first in (
        (flat_top, flat_low, shelf, 0.4 * inside.width, (3, 7), (30, 90)),
        (back_front, back_rear, seat, 0.85 * inside.shelf * inside.width, (8, 16), (30, 80)),
    ):
        flow = _on_nodes(faces, upper * shape, count) - _on_nodes(faces, lower * shape, count)
        curve = clamped(area, mass_kg_m2=rng.uniform(*mass), first_hz=rng.uniform(*first),
                        loss=rng.uniform(0.1, 0.35))  # fmt: skip
        out.append(Plate(flow * (area / 4), curve))
    seeps = rng.random() < 0.5
    resistance = float(np.exp(rng.uniform(*np.log([2e3, 3e4]))))
    give = 0.5 * inside.shelf * inside.width / resistance if seeps else 0.0
    even = _on_nodes(faces, back_front * 1.0, count) - _on_nodes(faces, back_rear * 1.0, count)
    return [*out, Plate(even, lambda _omega: give + 0j)]


def _readings(inside: Inside, seed: int, rng: np.random.Generator) -> Car:
    def tape(value: float, off: float = 0.01) -> float:
        return round(float(value + rng.normal(0, off)), 2)

    bricks, boot = _bricks(inside, 0.1)
    cubic = bricks.edge**3
    closed = inside.body == "saloon"
    air = (bricks.open_.sum() - boot.sum()) * cubic * np.exp(rng.normal(0, 0.04))
    behind = boot.sum() * cubic * np.exp(rng.normal(0, 0.06))
    holes = inside.hole_m2 * np.exp(rng.normal(0, 0.2))
    lean = float(np.degrees(np.arctan(inside.lean)) + rng.normal(0, 1.5))
    rear = inside.shelf * inside.lean if closed else inside.depth
    ear = inside.ear
    return Car(
        name=f"another invented {inside.body} {seed}",
        body=inside.body,
        load_space=_load_space(inside, lean, tape),
        cabin=Cabin(
            length_m=tape(inside.dash + rear, 0.02),
            width_m=tape(inside.width),
            height_m=tape(inside.height),
            volume_m3=round(float(air), 2),
            boot_volume_m3=round(float(behind), 2) if closed else 0.0,
            boot_opening_m2=round(float(holes), 3) if closed else 0.0,
            leak_corner_hz=4.5,
            loss_factor=0.17,
        ),
        listener=Listener(
            ear_x_m=tape(ear[0], 0.02), ear_y_m=tape(ear[1], 0.02), ear_z_m=tape(ear[2], 0.02)
        ),
        charging=Charging(
            alternator_rated_a=120, alternator_idle_a=60, running_voltage_v=14.0,
            battery_kind="agm", battery_capacity_ah=70, battery_cca_a=700, base_load_a=30,
            standing_drain_a=0.02, cable_route_m=5, ground_route_m=1,
        ),
        head_unit=HeadUnit(signal="line", output_v=4.0),
    )  # fmt: skip


def _load_space(inside: Inside, lean: float, tape) -> BootSpace:
    return BootSpace(
        kind="suv" if inside.body == "pickup" else inside.body,
        width_floor_m=tape(inside.width - 0.4),
        width_above_arches_m=tape(inside.width - 0.1),
        height_m=tape(inside.shelf),
        depth_floor_m=tape(inside.depth),
        depth_top_m=tape(inside.depth - inside.overhang),
        seat_lean_deg=lean,
        arch_length_m=0.6,
        arch_height_m=0.3,
        arch_from_seat_m=0.1,
        spare_well_diameter_m=0.0,
        spare_well_depth_m=0.0,
        opening=Opening(width_m=1.0, height_m=0.6),
    )
