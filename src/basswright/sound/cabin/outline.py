"""The cabin's outline, made from tape readings and from how cars are commonly built.

An outline is a floor line and a roof line along the car with a width at every height:
enough for a mesh that follows footwell, windscreen and tailgate. Seats and dashboard
stand inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.car import Body, Cabin, Car, Listener
from basswright.records.space import BootSpace
from basswright.sound.cabin.rear import rear_of

FloatArray = NDArray[np.float64]

# How cars are commonly built [m]; common practice, no source.
_HEADROOM = 0.20  # ear to roof lining
_SCREEN_BEHIND_DASH = 0.50  # windscreen's foot ahead of the dashboard's edge
_BELT_BELOW_ROOF = 0.42  # windscreen's and side windows' lower edge below the roof
_HEADER_AHEAD_OF_EAR = 0.15  # upper edge of the windscreen ahead of the ear
_TOE_BOARD_RISE = 0.30
_SEAT_THICK = 0.20
_SHELF = 0.35  # parcel shelf of a saloon, front to rear
# How far the widths may follow the volume that was read; the rest is not shape.
_WIDEN = (0.94, 1.06)


@dataclass(frozen=True, kw_only=True)
class Solid:
    """A seat or the dashboard: a block that may lean, with y limits.

    Attributes
    ----------
    kind : str
        "seat" (foam) or "dash" (mostly shut off from the cabin's air).
    x_m, y_m, z_m : tuple of float
        Lower and upper ends; x holds at the height z_m[0].
    lean : float
        Metres backwards for each metre up.
    """

    kind: str
    x_m: tuple[float, float]
    y_m: tuple[float, float]
    z_m: tuple[float, float]
    lean: float = 0.0

    def holds(self, x: FloatArray, y: FloatArray, z: FloatArray) -> NDArray[np.bool_]:
        """Say which points lie inside."""
        along = x + self.lean * (z - self.z_m[0])
        return (
            (along >= self.x_m[0])
            & (along <= self.x_m[1])
            & (y >= self.y_m[0])
            & (y <= self.y_m[1])
            & (z >= self.z_m[0])
            & (z <= self.z_m[1])
        )

    def volume_m3(self, width_m: float) -> float:
        """Volume of the block within a width of the cabin [m3]."""
        across = min(self.y_m[1], width_m / 2) - max(self.y_m[0], -width_m / 2)
        return float(np.ptp(self.x_m) * across * np.ptp(self.z_m))


@dataclass(frozen=True, kw_only=True)
class Outline:
    """A closed space between a floor line and a roof line.

    Attributes
    ----------
    x_m, floor_m, roof_m : ndarray, shape (s,)
        Stations along the car, rear to front, and the heights there.
    half_width_m : ndarray, shape (s, 3)
        Half the width at each station: at the floor, at mid height and at the roof.
    solids : tuple of Solid
    """

    x_m: FloatArray
    floor_m: FloatArray
    roof_m: FloatArray
    half_width_m: FloatArray
    solids: tuple[Solid, ...] = ()

    def volume_m3(self) -> float:
        """Volume inside the outline, solids not taken off [m3]."""
        mean = self.half_width_m @ np.array([0.25, 0.5, 0.25])
        section = 2 * mean * (self.roof_m - self.floor_m)
        return float(np.trapezoid(section, self.x_m))

    def widened(self, factor: float) -> Outline:
        """Return the same outline with all widths times a factor."""
        return replace(self, half_width_m=self.half_width_m * factor)


def box_outline(length_m: float, width_m: float, height_m: float) -> Outline:
    """Return a rectangular space with a corner line at x = 0, y symmetric, z = 0."""
    return Outline(
        x_m=np.array([0.0, length_m]),
        floor_m=np.zeros(2),
        roof_m=np.full(2, height_m),
        half_width_m=np.full((2, 3), width_m / 2),
    )


def cabin_outline(car: Car) -> Outline:
    """Return the outline of the cabin, open load space included.

    Raises
    ------
    InputError
        The readings contradict each other: the ear lies outside the cabin that the
        length and the load space describe.
    """
    cabin, ear, space = car.cabin, car.listener, rear_of(car)
    front = dashboard_x_m(car)
    roof = ear.ear_z_m + _HEADROOM
    floor = roof - cabin.height_m
    if floor > 0.25 or floor < -0.9:
        raise InputError(
            "the ear's height does not go with the cabin's height",
            field="listener.ear_z_m",
            value=ear.ear_z_m,
            allowed=f"about {cabin.height_m - 0.45:.2f} to {cabin.height_m - 0.2:.2f} m",
        )
    if not 0.2 < front - ear.ear_x_m < 2.2:
        raise InputError(
            "the ear does not lie behind the dashboard",
            field="listener.ear_x_m",
            value=ear.ear_x_m,
            allowed=f"{front - 2.2:.2f} to {front - 0.2:.2f} m",
        )
    closed = has_closed_boot(car.cabin)
    rear = _shelf_lines(space, roof) if closed else _tailgate_lines(space, roof)
    lines = rear + _front_lines(ear, front, roof, floor)
    x, low, high = (np.array(row) for row in zip(*lines, strict=True))
    widths = _widths(x, low, high, car)
    dash = Solid(
        kind="dash",
        x_m=(front, front + _SCREEN_BEHIND_DASH),
        y_m=(-2, 2),
        z_m=(floor + 0.45, roof - _BELT_BELOW_ROOF),
    )
    solids = (*_seats(car.body, ear, space, floor, cabin.width_m), dash)
    raw = Outline(x_m=x, floor_m=low, roof_m=high, half_width_m=widths, solids=solids)
    air = raw.volume_m3() - sum(solid.volume_m3(cabin.width_m) for solid in solids)
    return raw.widened(float(np.clip(cabin.volume_m3 / air, *_WIDEN)))


def boot_outline(cabin: Cabin, space: BootSpace) -> Outline:
    """Return the outline of a boot that is closed off from the cabin."""
    rise = space.height_m * np.tan(np.radians(space.seat_lean_deg))
    ends = np.array([-space.depth_floor_m, -max(0.5 * rise, 0.0)])
    if ends[1] - ends[0] < 0.3:
        ends[1] = ends[0] + 0.3
    mid = 0.5 * (space.width_floor_m + space.width_above_arches_m) / 2
    widths = np.array([space.width_floor_m / 2, mid, space.width_above_arches_m / 2])
    raw = Outline(
        x_m=ends,
        floor_m=np.zeros(2),
        roof_m=np.full(2, space.height_m),
        half_width_m=np.tile(widths, (2, 1)),
    )
    return raw.widened(float(np.clip(cabin.boot_volume_m3 / raw.volume_m3(), 0.6, 1.6)))


def has_closed_boot(cabin: Cabin) -> bool:
    """Say whether the load space is a volume of its own behind a bulkhead."""
    return cabin.boot_volume_m3 > 0.02


def dashboard_x_m(car: Car) -> float:
    """Return where the dashboard's edge lies [m]."""
    if has_closed_boot(car.cabin):
        return car.cabin.length_m - 0.15
    space = rear_of(car)
    return car.cabin.length_m - max(space.depth_floor_m, space.depth_top_m)


def _tailgate_lines(space: BootSpace, roof: float) -> list[tuple[float, float, float]]:
    bottom, top = -space.depth_floor_m, -space.depth_top_m
    slope = bottom - top  # negative where the tailgate leans forwards going up
    if slope < -0.05:
        half = bottom - 0.35 * slope
        return [
            (bottom, 0.0, 0.45 * roof),
            (half, 0.0, 0.75 * roof),
            (min(top, -0.02), 0.0, roof),
            (0.0, 0.0, roof),
        ]
    return [(bottom, 0.0, roof), (0.0, 0.0, roof)]


def _shelf_lines(space: BootSpace, roof: float) -> list[tuple[float, float, float]]:
    shelf = min(max(space.height_m, 0.4), roof - 0.35)
    back = -shelf * np.tan(np.radians(space.seat_lean_deg))
    return [
        (back - _SHELF, shelf, shelf + 0.12),
        (back, shelf - 0.05, roof - 0.08),
        (0.02, 0.0, roof),
    ]


def _front_lines(
    ear: Listener, front: float, roof: float, floor: float
) -> list[tuple[float, float, float]]:
    header = min(ear.ear_x_m + _HEADER_AHEAD_OF_EAR, front - 0.1)
    foot = front + _SCREEN_BEHIND_DASH
    belt = roof - _BELT_BELOW_ROOF
    toe = floor + _TOE_BOARD_RISE
    share = (front - header) / (foot - header)
    lines = [(0.25, floor, roof)] if header > 0.4 else []
    return [
        *lines,
        (header, floor, roof),
        (front, floor, roof - share * (roof - belt)),
        (foot, toe, belt),
    ]


def _widths(x: FloatArray, low: FloatArray, high: FloatArray, car: Car) -> FloatArray:
    width, space = car.cabin.width_m, rear_of(car)
    widths = np.tile(width / 2 * np.array([0.92, 1.0, 0.80]), (len(x), 1))
    if has_closed_boot(car.cabin):
        return widths
    behind = x < -0.01
    arches = 0.5 * (space.width_floor_m + space.width_above_arches_m) / 2
    widths[behind] = np.array([arches, space.width_above_arches_m / 2, 0.80 * width / 2])
    return widths


def _seats(
    body: Body, ear: Listener, space: BootSpace, floor: float, width_m: float
) -> tuple[Solid, ...]:
    cushion = floor + 0.30
    back = ear.ear_x_m - 0.12
    top = ear.ear_z_m - 0.10
    lean = 0.35
    out = []
    for side in (ear.ear_y_m, -ear.ear_y_m):
        wide = (side - 0.25, side + 0.25)
        foot = back + lean * (top - cushion)
        out.append(
            Solid(
                kind="seat",
                x_m=(foot - _SEAT_THICK, foot),
                y_m=wide,
                z_m=(cushion, top),
                lean=lean,
            )
        )
        out.append(
            Solid(kind="seat", x_m=(foot, foot + 0.5), y_m=wide, z_m=(cushion - 0.15, cushion))
        )
    if ear.ear_x_m > 0.9 and body != "van":
        tilt = float(np.tan(np.radians(space.seat_lean_deg)))
        bench = (-0.46 * width_m, 0.46 * width_m)
        out.append(Solid(kind="seat", x_m=(0.0, _SEAT_THICK), y_m=bench, z_m=(0.0, 0.6), lean=tilt))
        out.append(
            Solid(kind="seat", x_m=(0.1, 0.6), y_m=bench, z_m=(min(cushion - 0.2, -0.01), cushion))
        )
    return tuple(out)
