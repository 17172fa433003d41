"""Invented cars with a hidden inside, and what a tape measure reads of them.

Every car is drawn from ranges that are common practice, without a source. Nothing here
knows how the product models a cabin; the product sees the readings alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Body, Cabin, Car, Charging, HeadUnit, Listener
from basswright.records.space import BootSpace, Opening
from tests.sound.cabin.voxel_acoustics import Array, Branch, Grid, grid_of, joined, plate_branches

BODIES = ("hatchback", "estate", "saloon", "suv", "pickup")
#: Mid-frequencies of the third-octave bands, and three tones in each.
BANDS = 1000 * 10 ** (np.arange(-17, -10) / 10)
TONES = np.concatenate([b * 10 ** (np.array([-1, 0, 1]) / 30) for b in BANDS])

_RANGES: dict[str, dict[str, tuple[float, float]]] = {
    "hatchback": {"dash": (1.75, 2.0), "depth": (0.62, 0.85), "slope": (0.15, 0.35),
                  "width": (1.36, 1.48), "height": (1.13, 1.24), "drop": (0.18, 0.34)},
    "estate": {"dash": (1.8, 2.0), "depth": (0.95, 1.15), "slope": (0.2, 0.4),
               "width": (1.4, 1.52), "height": (1.13, 1.22), "drop": (0.18, 0.32)},
    "suv": {"dash": (1.85, 2.1), "depth": (0.82, 1.1), "slope": (0.15, 0.35),
            "width": (1.45, 1.58), "height": (1.2, 1.34), "drop": (0.2, 0.36)},
    "pickup": {"dash": (1.55, 1.8), "depth": (0.12, 0.3), "slope": (0.0, 0.1),
               "width": (1.4, 1.55), "height": (1.15, 1.3), "drop": (0.2, 0.34)},
    "saloon": {"dash": (1.8, 2.05), "depth": (0.9, 1.12), "slope": (0.05, 0.2),
               "width": (1.38, 1.5), "height": (1.1, 1.2), "drop": (0.15, 0.3)},
}  # fmt: skip


@dataclass(frozen=True)
class Skin:
    """What a kind of panel may be: mass, first resonance, share of it that gives."""

    mass_kg_m2: tuple[float, float]
    resonance_hz: tuple[float, float]
    share: tuple[float, float]


# Sheet of 0.7 to 0.8 mm with trim and damping pads on bows; laminated glass, bonded and
# curved; pressed and braced floor; tailgate on its rubber seals; doors, whose skin
# hears the cabin only through the trim.
_ROOF = Skin((7, 12), (28, 60), (0.4, 0.9))
_SCREEN = Skin((11, 14), (50, 100), (0.4, 0.8))
_FLOOR = Skin((12, 20), (50, 110), (0.1, 0.3))
_TAIL = Skin((15, 28), (25, 60), (0.5, 0.9))
_SIDE = Skin((10, 18), (35, 80), (0.15, 0.45))
_LID = Skin((9, 16), (32, 75), (0.2, 0.6))


@dataclass
class SimulatedCar:
    """A car's readings, and the truth that they are readings of."""

    car: Car
    cones: Array
    shape: Shape
    rng_seed: int

    def transfer(
        self, frequency_hz: Array, place: int, *, step: float = 0.125
    ) -> NDArray[np.complex128]:
        """Return pressure at the ear over volume velocity with the box in a place."""
        cone = self.cones[place]
        grid = _furnished(self.shape, cone, step, self.rng_seed)
        return grid.pressure(frequency_hz, self.shape.source(grid, cone), self.shape.at_ear(grid))


@dataclass
class Shape:
    """The inside of one car, as numbers drawn from the ranges of its body."""

    body: str
    dash: float
    depth: float
    slope: float
    width: float
    height: float
    drop: float
    lean: float
    tumble: float
    rear_taper: float
    crown: float
    arch: tuple[float, float, float]
    arch_inset: float
    boot_height: float
    well: float
    pad: float
    bench: float
    ear: Array

    @property
    def roof(self) -> float:
        return self.height - self.drop

    def cabin(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        belt = self.roof - 0.42
        ceiling = self.roof - self.crown * ((x - 0.6) / 1.2) ** 2
        header = self.ear[0] + 0.12
        foot = self.dash + 0.52
        screen = self.roof - 0.03 - (x - header) * (self.roof - 0.03 - belt) / (foot - header)
        top = np.minimum(ceiling, np.where(x > header, screen, 9))
        floor = np.where(x > 0.5, -self.drop, np.where(x > 0.0, -self.drop + 0.16, 0.0))
        toe = -self.drop + np.maximum(0, x - (foot - 0.3)) * 1.1
        floor = np.maximum(floor, np.where(x > self.dash, toe, -9))
        tunnel = (np.abs(y) < 0.11) & (z < -self.drop + 0.2) & (x > 0.5)
        knee = self.dash + 0.12 * np.clip((belt - z) / 0.35, 0, 1)
        dash = (x > knee) & (z < belt - 0.03) & (z > -self.drop + 0.42)
        inside = (z < top) & (z > floor) & (np.abs(y) < self.half_width(x, z)) & (x < foot)
        return inside & ~tunnel & ~dash & self._behind_ok(x, y, z)

    def half_width(self, x: Array, z: Array) -> Array:
        elbow = self.roof - 0.55
        above = np.clip((z - elbow) / 0.55, 0, 1)
        below = np.clip((elbow - z) / 0.5, 0, 1)
        plan = 1 - self.rear_taper * np.clip(-x, 0, 1) - 0.05 * np.clip(x - 1.5, 0, 1)
        return (self.width / 2 - self.tumble * above - 0.04 * below) * plan

    def _behind_ok(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        if self.body == "saloon":
            shelf = self.boot_height + 0.04
            back = -z * self.lean
            rear_window = -shelf * self.lean - 0.45 + (z - shelf) * 0.7
            return np.where(z < shelf, x > back, x > rear_window)
        belt = 0.5 * self.roof
        tail = -self.depth + self.slope * np.clip((z - belt) / (self.roof - belt), 0, 1) ** 1.3
        start, length, high = self.arch
        arch = (x < -start) & (x > -start - length) & (z < high)
        return (x > tail) & ~(arch & (np.abs(y) > self.width / 2 - self.arch_inset))

    def boot(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        if self.body != "saloon":
            return np.zeros(x.shape, dtype=bool)
        start, length, high = self.arch
        arch = (x < -start) & (x > -start - length) & (z < high)
        half = np.where(arch, self.width / 2 - self.arch_inset, self.width / 2 - 0.06)
        tail = -self.depth + self.slope * np.clip(z / self.boot_height, 0, 1)
        space = (z > 0) & (z < self.boot_height) & (x < -z * self.lean - 0.09) & (x > tail)
        well = (z > -self.well) & (z <= 0) & (np.hypot(x + 0.55, y) < 0.3)
        return (space & (np.abs(y) < half)) | well

    def foam(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        ex, ey, ez = self.ear
        out = np.zeros(x.shape, dtype=bool)
        for side in (ey, -ey):
            near = np.abs(y - side) < 0.22
            rear = ex - 0.1 + 0.38 * (ez - 0.1 - z)
            out |= (
                near & (x < rear) & (x > rear - self.pad) & (z < ez - 0.08) & (z > -self.drop + 0.2)
            )
            out |= near & (x > ex + 0.1) & (x < ex + 0.6) & (np.abs(z + self.drop - 0.25) < 0.09)
        if ex > 0.75:
            bench = np.abs(y) < 0.42 * self.width
            front = -z * self.lean
            out |= bench & (x > front) & (x < front + self.pad) & (z < self.bench)
            out |= bench & (x > 0.1) & (x < 0.6) & (z < 0.1) & (z > -self.drop + 0.1)
        return out

    def driver(self, x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        ex, ey, ez = self.ear
        torso = (
            (np.abs(x - ex - 0.02) < 0.11) & (np.abs(y - ey) < 0.2) & (np.abs(z - ez + 0.47) < 0.3)
        )
        legs = (
            (np.abs(x - ex - 0.38) < 0.3) & (np.abs(y - ey) < 0.17) & (np.abs(z - ez + 0.68) < 0.08)
        )
        return torso | legs

    def source(self, grid: Grid, cone: Array) -> Array:
        behind = self.boot(*grid.centre.T)
        in_boot = bool(self.boot(*cone[:, None])[0]) if self.body == "saloon" else False
        return grid.near(cone, 0.1, only=behind if in_boot else ~behind)

    def at_ear(self, grid: Grid) -> Array:
        return grid.near(self.ear, 0.06, only=~grid.behind)


def simulated_car(body: str, seed: int) -> SimulatedCar:
    """Draw one car; the same body and seed give the same car."""
    assert body in get_args(Body)
    rng = np.random.default_rng([seed, BODIES.index(body)])
    shape = _shape(body, rng)
    cones = _cones(shape, rng)
    grid = _grid(shape, None, 0.1)
    behind = grid.behind
    air = float(((1 - grid.foam) * grid.volume)[~behind].sum())
    car = _readings(shape, air, float(grid.volume[behind].sum()), rng, seed)
    return SimulatedCar(car=car, cones=cones, shape=shape, rng_seed=seed)


def third_octave_db(transfer: NDArray[np.complex128]) -> Array:
    """Return the level of each band from the three tones in it [dB re 1 Pa s/m3]."""
    power = np.abs(transfer) ** 2
    return 10 * np.log10(power.reshape(*power.shape[:-1], -1, 3).mean(axis=-1))


def _shape(body: str, rng: np.random.Generator) -> Shape:
    drawn = {key: float(rng.uniform(*ends)) for key, ends in _RANGES[body].items()}
    if body == "pickup" and rng.random() < 0.35:
        drawn["dash"] = float(rng.uniform(0.95, 1.15))
    roof = drawn["height"] - drawn["drop"]
    behind_dash, aside = rng.uniform(0.65, 0.85), rng.uniform(0.34, 0.4)
    ear = np.array([drawn["dash"] - behind_dash, aside, roof - rng.uniform(0.15, 0.26)])
    return Shape(
        body=body,
        **drawn,
        lean=float(np.tan(np.radians(rng.uniform(15, 27)))),
        tumble=float(rng.uniform(0.1, 0.18)),
        rear_taper=float(rng.uniform(0.0, 0.08)),
        crown=float(rng.uniform(0.02, 0.06)),
        arch=(
            float(rng.uniform(0.1, 0.25)),
            float(rng.uniform(0.4, 0.6)),
            float(rng.uniform(0.2, 0.38)),
        ),
        arch_inset=float(rng.uniform(0.15, 0.24)),
        boot_height=float(rng.uniform(0.46, 0.56)),
        well=float(rng.choice([0.0, 0.14])),
        pad=float(rng.uniform(0.06, 0.14)),
        # Folded, or with gaps at its sides, below and between its halves; or whole.
        bench=float(rng.choice([0.0, 0.3, 0.5])),
        ear=ear,
    )


def _cones(shape: Shape, rng: np.random.Generator) -> Array:
    if shape.body == "pickup":
        low = [-shape.depth + 0.06, -0.5, 0.1]
        high = [-0.04, 0.5, 0.4]
    else:
        reach = 0.25 if shape.body == "saloon" else 0.12
        low = [-shape.depth + 0.15 + shape.slope, -0.45, 0.12]
        high = [-reach - 0.1, 0.45, 0.3]
    low[0] = min(low[0], high[0] - 0.05)
    first, second = rng.uniform(low, high), rng.uniform(low, high)
    second[1] = -np.sign(first[1]) * abs(second[1])
    return np.stack([first, second])


def _grid(shape: Shape, cone: Array | None, step: float) -> Grid:
    def free_of_box(x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        if cone is None:
            return np.ones(x.shape, dtype=bool)
        box = (np.abs(x - cone[0] + 0.2) < 0.15) & (np.abs(y - cone[1]) < 0.22)
        return ~(box & (z < cone[2] + 0.18))

    def inside(x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        return shape.cabin(x, y, z) & ~shape.driver(x, y, z) & free_of_box(x, y, z)

    low = np.array([-shape.depth - 0.05, -shape.width / 2 - 0.02, -shape.drop - 0.02])
    high = np.array([shape.dash + 0.56, shape.width / 2 + 0.02, shape.roof + 0.02])
    cabin = grid_of(inside, shape.foam, low, high, step)
    if shape.body != "saloon":
        return cabin

    def boot(x: Array, y: Array, z: Array) -> NDArray[np.bool_]:
        return shape.boot(x, y, z) & free_of_box(x, y, z)

    high = np.array([0.05, shape.width / 2, shape.boot_height + 0.05])
    return joined(cabin, grid_of(boot, lambda x, y, z: x > 9, low, high, step))


def _furnished(shape: Shape, cone: Array, step: float, seed: int) -> Grid:
    grid = _grid(shape, None if shape.body == "pickup" else cone, step)
    rng = np.random.default_rng([seed, 99, BODIES.index(shape.body)])
    behind = grid.behind
    grid.resistivity = float(np.exp(rng.normal(np.log(5000), 0.8)))
    grid.lining_m = float(rng.uniform(0.004, 0.02))
    grid.lining_resistivity = float(rng.uniform(15e3, 60e3))
    grid.branches = [
        *_panels(shape, grid, behind, rng),
        *_leaks(shape, grid, behind, rng),
        *_bulkhead(shape, grid, behind, rng),
    ]
    return grid


def _half_sine(value: Array, low: float, high: float, order: int = 1) -> Array:
    share = (value - low) / (high - low)
    return np.where((share > 0) & (share < 1), np.sin(order * np.pi * np.clip(share, 0, 1)), 0.0)


def _sine_area(value: Array, ends: tuple[float, float]) -> Array:
    return ((value > ends[0]) & (value < ends[1])).astype(float)


def _both_sides(front: Array, back: Array, spread: Array, area_m2: float) -> Array:
    """Weights of a first plate mode between two spaces, each side with its full flow."""
    flow = area_m2 * (2 / np.pi) ** 2
    front, back = front * spread, back * spread
    return flow * (front / front.sum() - back / back.sum())


def _panels(
    shape: Shape, grid: Grid, behind: NDArray[np.bool_], rng: np.random.Generator
) -> list[Branch]:
    x, y, z = grid.centre.T
    wall = grid.wall * ~behind[:, None]
    half, roof, ex = shape.width / 2, shape.roof, shape.ear[0]
    rear = -shape.depth if shape.body != "saloon" else -0.4
    ceiling = np.clip(wall[:, 2], 0, None) * (z > roof - 0.3)
    panels = [
        (ceiling, x, (rear + 0.1, ex + 0.2), y, (-half * 0.9, half * 0.9), _ROOF),
        (ceiling, x, (ex + 0.15, shape.dash + 0.5), y, (-half, half), _SCREEN),
        (np.clip(-wall[:, 2], 0, None) * (z < 0.1), x, (rear, 0.0), y, (-half, half), _FLOOR),
        (-np.clip(wall[:, 0], None, 0), y, (-half, half), z, (0.0, roof), _TAIL),
    ]
    ends = [(ex - 0.4, shape.dash + 0.1), (0.0, ex - 0.4), (rear, 0.0)]
    for low, high in ends:
        if high - low > 0.35:
            for sign in (-1, 1):
                skin = np.clip(sign * wall[:, 1], 0, None) * (sign * y > 0.4 * half)
                panels.append((skin, x, (low, high), z, (-shape.drop, roof), _SIDE))
    if behind.any():
        lid = np.clip(grid.wall[:, 2], 0, None) * behind * (z > 0.6 * shape.boot_height)
        panels.append((lid, x, (-shape.depth, -0.25), y, (-half, half), _LID))
    out = []
    for area, a, a_ends, b, b_ends, kind in panels:
        first = float(np.exp(rng.uniform(*np.log(kind.resonance_hz))))
        surface = {
            "mass_kg_m2": float(rng.uniform(*kind.mass_kg_m2)),
            "loss": float(rng.uniform(0.12, 0.4)),
        }
        size = (a_ends[1] - a_ends[0]) * (b_ends[1] - b_ends[0])
        size = size * float(rng.uniform(*kind.share))
        area = area * (_sine_area(a, a_ends) * _sine_area(b, b_ends) > 0)
        area = area * size / max(area.sum(), 1e-6)
        for order, ratio in ((1, 1.0), (2, rng.uniform(1.5, 2.2)), (3, rng.uniform(2.2, 3.5))):
            weight = area * _half_sine(a, *a_ends, order) * _half_sine(b, *b_ends)
            if np.any(weight):
                out.append(plate_branches(weight, size, resonance_hz=first * ratio, **surface))
    return out


def _leaks(
    shape: Shape, grid: Grid, behind: NDArray[np.bool_], rng: np.random.Generator
) -> list[Branch]:
    _, y, _ = grid.centre.T
    bulk = 1.4 * 101325.0
    corner = float(np.exp(rng.uniform(np.log(2), np.log(10))))
    total = 2 * np.pi * corner * grid.volume[~behind].sum() / bulk
    out = []
    places = [(-0.3, 0.3), (-0.3, -0.3), (shape.ear[0], 0.0)]
    for (px, py), share in zip(places, rng.dirichlet([2, 2, 3]), strict=True):
        mass_hz = float(rng.uniform(15, 80))
        weight = grid.near(np.array([px, py * shape.width, 0.2]), 0.25, only=~behind)
        out.append(Branch(weight, _resistive(total * share, mass_hz)))
    hollow = float(rng.uniform(0.03, 0.15)) / bulk
    weight = np.abs(grid.wall[:, 1]) * (np.abs(y) > 0.3 * shape.width) * ~behind
    natural, loss = 2 * np.pi * float(rng.uniform(70, 160)), float(rng.uniform(0.1, 0.5))
    out.append(
        Branch(
            weight / weight.sum(),
            lambda w: 1j * w * hollow / (1 - (w / natural) ** 2 + 1j * loss * w / natural),
        )
    )
    return out


def _resistive(conductance: float, mass_hz: float):
    return lambda omega: conductance / (1 + 1j * omega / (2 * np.pi * mass_hz))


def _bulkhead(
    shape: Shape, grid: Grid, behind: NDArray[np.bool_], rng: np.random.Generator
) -> list[Branch]:
    if shape.body != "saloon":
        return []
    out, holes = [], _holes(shape)
    for px, py, pz, area, length, loss in holes:
        front = grid.near(np.array([px + 0.12, py, pz + 0.1]), 0.12, only=~behind)
        back = grid.near(np.array([px - 0.1, py, pz - 0.1]), 0.12, only=behind)
        out.append(Branch(front - back, _hole(area, length, loss)))
    x, y, z = grid.centre.T
    half = shape.width / 2
    shelf = shape.boot_height
    edge = -shelf * shape.lean
    flat = (np.abs(z - shelf) < 0.16) & (x < edge + 0.05)
    above = np.clip(-grid.wall[:, 2], 0, None) * ~behind * flat
    below = np.clip(grid.wall[:, 2], 0, None) * behind * flat
    spread = _half_sine(x, edge - 0.5, edge + 0.05) * _half_sine(y, -half, half)
    out.append(
        plate_branches(
            _both_sides(above, below, spread, 0.5 * shape.width),
            0.5 * shape.width,
            mass_kg_m2=float(rng.uniform(2.5, 6)),
            resonance_hz=float(rng.uniform(25, 60)),
            loss=float(rng.uniform(0.15, 0.4)),
        )
    )
    low = (z < shelf) & (np.abs(x + z * shape.lean) < 0.3)
    front_skin = -np.clip(grid.wall[:, 0], None, 0) * ~behind * low
    back_skin = np.clip(grid.wall[:, 0], 0, None) * behind * low
    spread = _half_sine(z, 0, shelf) * _half_sine(y, -half, half)
    out.append(
        plate_branches(
            _both_sides(front_skin, back_skin, spread, shelf * shape.width),
            shelf * shape.width,
            mass_kg_m2=float(rng.uniform(9, 18)),
            resonance_hz=float(rng.uniform(25, 60)),
            loss=float(rng.uniform(0.2, 0.5)),
        )
    )
    return out


def _hole(area: float, length: float, loss: float):
    return lambda omega: area / (1.2041 * length * omega * (1j + loss))


def _holes(shape: Shape) -> list[tuple[float, float, float, float, float, float]]:
    rng = np.random.default_rng(int(1e6 * shape.dash) + int(1e5 * shape.width))
    total = float(np.exp(rng.uniform(np.log(0.02), np.log(0.15))))
    count = int(rng.integers(1, 4))
    out = []
    for share in rng.dirichlet(np.full(count, 3.0)):
        area = total * float(share)
        length = float(rng.uniform(0.02, 0.1)) + 2 * 0.82 * np.sqrt(area / np.pi)
        z = float(rng.uniform(0.3, shape.boot_height))
        y = float(rng.uniform(-0.4, 0.4))
        out.append((-z * shape.lean, y, z, area, length, float(rng.uniform(0.1, 0.6))))
    return out


def _readings(shape: Shape, air: float, boot: float, rng: np.random.Generator, seed: int) -> Car:
    def tape(value: float, off: float = 0.01) -> float:
        return round(float(value + rng.normal(0, off)), 3)

    closed = shape.body == "saloon"
    start, length, high = shape.arch
    half = shape.width / 2
    inset = shape.arch_inset
    rear = 0.15 if closed else shape.depth
    holes = sum(hole[3] for hole in _holes(shape)) if closed else 0.0
    space = BootSpace(
        kind="suv" if shape.body == "pickup" else shape.body,
        width_floor_m=tape(2 * (half - inset)),
        width_above_arches_m=tape(2 * half - (0.12 if closed else 0.05)),
        height_m=tape(shape.boot_height if closed else min(0.5, shape.roof)),
        depth_floor_m=tape(shape.depth),
        depth_top_m=tape(shape.depth - shape.slope),
        seat_lean_deg=float(np.degrees(np.arctan(shape.lean)) + rng.normal(0, 1.5)),
        arch_length_m=tape(length),
        arch_height_m=tape(high),
        arch_from_seat_m=tape(start),
        spare_well_diameter_m=0.6 if shape.well else 0.0,
        spare_well_depth_m=shape.well,
        opening=Opening(width_m=1.0, height_m=0.6),
    )
    cabin = Cabin(
        length_m=tape(shape.dash + rear, 0.02),
        width_m=tape(shape.width),
        height_m=tape(shape.height),
        volume_m3=round(air * float(np.exp(rng.normal(0, 0.04))), 2),
        boot_volume_m3=round(boot * float(np.exp(rng.normal(0, 0.05))), 3) if closed else 0.0,
        boot_opening_m2=round(holes * float(np.exp(rng.normal(0, 0.2))), 3) if closed else 0.0,
        leak_corner_hz=5.0,
        loss_factor=0.18,
    )
    ear = Listener(
        ear_x_m=tape(float(shape.ear[0]), 0.02),
        ear_y_m=tape(float(shape.ear[1]), 0.02),
        ear_z_m=tape(float(shape.ear[2]), 0.02),
    )
    return Car(
        name=f"invented {shape.body} {seed}",
        body=shape.body,
        load_space=space,
        cabin=cabin,
        listener=ear,
        charging=Charging(
            alternator_rated_a=120, alternator_idle_a=60, running_voltage_v=14.0,
            battery_kind="agm", battery_capacity_ah=70, battery_cca_a=700, base_load_a=30,
            standing_drain_a=0.02, cable_route_m=5, ground_route_m=1,
        ),
        head_unit=HeadUnit(signal="line", output_v=4.0),
    )  # fmt: skip
