"""What stands in for a reading that was not taken, with its band, and why.

Every figure here is common practice, from memory, without a published source: good
for a first answer and shown as an estimate wherever a person sees it. A reading that
is taken replaces it. The bands are meant as 5 % and 95 % ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final

from basswright.records.base import Origin

Tree = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """A stand-in: its value, the ends of its band, and how it was come by."""

    value: float | str
    low: float | None = None
    high: float | None = None
    note: str


@dataclass(frozen=True, kw_only=True)
class Estimator:
    """How one field of a car is estimated.

    Attributes
    ----------
    path : str
        Dotted path of the field inside the car.
    rule : str
        The rule in words, for the reference page.
    find : callable
        Takes the car's readings, gives the estimate; raises KeyError when a reading
        that it needs is not there.
    """

    path: str
    rule: str
    find: Callable[[Readings], Estimate]


@dataclass(frozen=True)
class Readings:
    """The readings of one car by dotted path, as far as they are there."""

    tree: Tree

    def number(self, path: str) -> float:
        """Return a reading; KeyError when it is missing."""
        value = self._get(path)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise KeyError(path)
        return float(value)

    def word(self, path: str) -> str:
        """Return a choice; KeyError when it is missing."""
        value = self._get(path)
        if not isinstance(value, str):
            raise KeyError(path)
        return value

    def has(self, path: str) -> bool:
        """Say whether a reading is there."""
        try:
            self._get(path)
        except KeyError:
            return False
        return True

    def _get(self, path: str) -> object:
        node: Any = self.tree
        for part in path.split("."):
            if not isinstance(node, dict):
                raise KeyError(path)
            node = node[part]
        return node


#: Share of length x width x height that is air, by body: sloping glass, seats, lining.
_AIR_SHARE: Final = {
    "hatchback": 0.78, "estate": 0.80, "saloon": 0.84, "suv": 0.80, "van": 0.88, "pickup": 0.82,
}  # fmt: skip
_SEAT_LEAN_DEG: Final = {
    "hatchback": 25.0, "estate": 22.0, "saloon": 22.0, "suv": 20.0, "van": 8.0, "pickup": 15.0,
}  # fmt: skip
_ROUTE_M: Final = {
    "hatchback": 5.0, "estate": 5.8, "saloon": 5.5, "suv": 5.5, "van": 6.0, "pickup": 4.0,
}  # fmt: skip
_CCA_PER_AH: Final = {"flooded": 9.0, "efb": 9.8, "agm": 10.8, "gel": 8.5, "lithium": 12.0}
#: From the lining down to the driver's ear, and from the cabin floor up to the load floor.
_ABOVE_EAR_M: Final = 0.16
_LOAD_FLOOR_M: Final = {
    "hatchback": 0.28, "estate": 0.28, "saloon": 0.25, "suv": 0.30, "van": 0.0, "pickup": 0.05,
}  # fmt: skip
#: From the lower edge of the windscreen back to the driver's ear, along the car.
_EAR_BEHIND_DASHBOARD_M: Final = 0.75
#: What lies between the foot of a saloon's seat back and the cabin's rear wall.
_SALOON_SHELF_M: Final = 0.35


def _band(value: float, share: float, note: str) -> Estimate:
    return Estimate(value=value, low=value * (1 - share), high=value * (1 + share), note=note)


def _seat_lean(read: Readings) -> Estimate:
    lean = _SEAT_LEAN_DEG[read.word("body")]
    return Estimate(value=lean, low=max(-10.0, lean - 8), high=lean + 8, note="usual for this body")


def _arch_height(read: Readings) -> Estimate:
    if _no_arches(read):
        return Estimate(value=0.0, note="same width at the floor as above: no arches")
    height = min(0.30, 0.7 * read.number("load_space.height_m"))
    return _band(height, 0.3, "usual height of a wheel arch")


def _arch_length(read: Readings) -> Estimate:
    if _no_arches(read):
        return Estimate(value=0.0, note="same width at the floor as above: no arches")
    length = min(0.65, 0.8 * read.number("load_space.depth_floor_m"))
    return _band(length, 0.25, "usual length of a wheel arch")


def _arch_from_seat(read: Readings) -> Estimate:
    if _no_arches(read):
        return Estimate(value=0.0, note="same width at the floor as above: no arches")
    return Estimate(value=0.05, low=0.0, high=0.2, note="arches usually begin at the seat back")


def _no_arches(read: Readings) -> bool:
    narrow = read.number("load_space.width_floor_m")
    return read.number("load_space.width_above_arches_m") - narrow < 0.01


def _well_diameter(_: Readings) -> Estimate:
    return Estimate(value=0.0, note="no spare-wheel well told of")


def _well_depth(_: Readings) -> Estimate:
    return Estimate(value=0.0, note="no spare-wheel well told of")


def _volume(read: Readings) -> Estimate:
    share = _AIR_SHARE[read.word("body")]
    sides = (read.number(f"cabin.{side}_m") for side in ("length", "width", "height"))
    volume = share
    for side in sides:
        volume *= side
    return _band(volume, 0.12, f"length x width x height x {share}")


def _boot_volume(read: Readings) -> Estimate:
    if read.word("body") != "saloon":
        return Estimate(value=0.0, note="load space open to the cabin")
    if read.word("load_space.kind") in ("behind-seat", "under-seat", "console"):
        return Estimate(value=0.0, note="the box stands in the cabin; the boot was not measured")
    width = read.number("load_space.width_floor_m") + read.number("load_space.width_above_arches_m")
    depth = read.number("load_space.depth_floor_m") + read.number("load_space.depth_top_m")
    volume = width / 2 * depth / 2 * read.number("load_space.height_m")
    return _band(volume, 0.15, "mean width x mean depth x height of the boot")


def _boot_opening(read: Readings) -> Estimate:
    if read.word("body") != "saloon":
        return Estimate(value=0.0, note="load space open to the cabin")
    return Estimate(
        value=0.06, low=0.02, high=0.15, note="shelf holes, ski hatch and seat back of a saloon"
    )


def _leak_corner(_: Readings) -> Estimate:
    return Estimate(value=4.5, low=2.0, high=10.0, note="usual for a closed car")


def _loss_factor(_: Readings) -> Estimate:
    return Estimate(value=0.17, low=0.08, high=0.35, note="usual for trimmed cars")


def _ear_x(read: Readings) -> Estimate:
    if not read.has("load_space.depth_floor_m"):
        return Estimate(value=0.95, low=0.5, high=1.4, note="usual; this space tells no depth")
    ahead = read.number("cabin.length_m") - _EAR_BEHIND_DASHBOARD_M
    if read.word("body") == "saloon":
        ahead -= _SALOON_SHELF_M
    elif read.word("body") != "pickup":
        ahead -= read.number("load_space.depth_floor_m")
    ahead = min(max(ahead, -0.2), 2.2)
    return Estimate(
        value=ahead,
        low=ahead - 0.2,
        high=ahead + 0.2,
        note="cabin length less load floor, and 750 mm behind the dashboard",
    )


def _ear_y(_: Readings) -> Estimate:
    return Estimate(
        value=0.36, low=0.30, high=0.42, note="driver on the left; -360 mm for one on the right"
    )


def _ear_z(read: Readings) -> Estimate:
    below_lining = read.number("cabin.height_m") - _ABOVE_EAR_M
    height = below_lining - _LOAD_FLOOR_M[read.word("body")]
    return Estimate(
        value=height, low=height - 0.1, high=height + 0.1, note="160 mm below the roof lining"
    )


def _alternator_idle(read: Readings) -> Estimate:
    rated = read.number("charging.alternator_rated_a")
    return Estimate(
        value=0.5 * rated, low=0.4 * rated, high=0.62 * rated, note="half of the rated output"
    )


def _running_voltage(_: Readings) -> Estimate:
    return Estimate(value=13.8, low=13.2, high=14.4, note="usual with the engine warm")


def _battery_kind(_: Readings) -> Estimate:
    return Estimate(value="flooded", note="plain lead-acid assumed: read the label")


def _battery_cca(read: Readings) -> Estimate:
    per_ah = _CCA_PER_AH[read.word("charging.battery_kind")]
    amps = per_ah * read.number("charging.battery_capacity_ah")
    return _band(amps, 0.2, f"{per_ah:g} A for each Ah")


def _base_load(_: Readings) -> Estimate:
    return Estimate(value=42.0, low=30.0, high=60.0, note="by night in rain")


def _standing_drain(_: Readings) -> Estimate:
    return Estimate(value=0.03, low=0.015, high=0.05, note="usual for a locked car")


def _cable_route(read: Readings) -> Estimate:
    route = _ROUTE_M[read.word("body")]
    return Estimate(
        value=route, low=route - 1.0, high=route + 1.5, note="battery in front, as usually laid"
    )


def _ground_route(_: Readings) -> Estimate:
    return Estimate(value=0.6, low=0.3, high=1.0, note="body ground near the amplifier")


def _signal(_: Readings) -> Estimate:
    return Estimate(value="line", note="line output assumed: look at the back of the radio")


def _output(read: Readings) -> Estimate:
    if read.word("head_unit.signal") == "line":
        return Estimate(value=2.5, low=1.5, high=5.0, note="usual for a line output")
    return Estimate(value=7.5, low=6.0, high=9.5, note="usual for a speaker output")


#: In the order in which they are made: a later one may rest on an earlier.
ESTIMATORS: Final = (
    Estimator(path="load_space.seat_lean_deg", rule="by body: 8 to 25 deg", find=_seat_lean),
    Estimator(
        path="load_space.arch_height_m",
        rule="none where both widths agree, else 300 mm, at most 0.7 of the height",
        find=_arch_height,
    ),
    Estimator(
        path="load_space.arch_length_m",
        rule="none where both widths agree, else 650 mm, at most 0.8 of the depth",
        find=_arch_length,
    ),
    Estimator(
        path="load_space.arch_from_seat_m",
        rule="none where both widths agree, else 50 mm",
        find=_arch_from_seat,
    ),
    Estimator(path="load_space.spare_well_diameter_m", rule="no well", find=_well_diameter),
    Estimator(path="load_space.spare_well_depth_m", rule="no well", find=_well_depth),
    Estimator(
        path="cabin.volume_m3",
        rule="length x width x height x a share of air by body, 0.78 to 0.88",
        find=_volume,
    ),
    Estimator(
        path="cabin.boot_volume_m3",
        rule="saloon with a measured boot: mean width x mean depth x height; else 0",
        find=_boot_volume,
    ),
    Estimator(path="cabin.boot_opening_m2", rule="saloon: 600 cm2; else 0", find=_boot_opening),
    Estimator(path="cabin.leak_corner_hz", rule="4.5 Hz (2 to 10 Hz)", find=_leak_corner),
    Estimator(path="cabin.loss_factor", rule="0.17 (0.08 to 0.35)", find=_loss_factor),
    Estimator(
        path="listener.ear_x_m",
        rule="cabin length less load depth (saloon: less 350 mm) less 750 mm",
        find=_ear_x,
    ),
    Estimator(path="listener.ear_y_m", rule="360 mm, driver on the left", find=_ear_y),
    Estimator(
        path="listener.ear_z_m",
        rule="cabin height less 160 mm, less the height of the load floor by body",
        find=_ear_z,
    ),
    Estimator(
        path="charging.alternator_idle_a", rule="half of the rated output", find=_alternator_idle
    ),
    Estimator(path="charging.running_voltage_v", rule="13.8 V", find=_running_voltage),
    Estimator(path="charging.battery_kind", rule="flooded", find=_battery_kind),
    Estimator(
        path="charging.battery_cca_a",
        rule="8.5 to 12 A for each Ah, by kind of battery",
        find=_battery_cca,
    ),
    Estimator(path="charging.base_load_a", rule="42 A, by night in rain", find=_base_load),
    Estimator(path="charging.standing_drain_a", rule="30 mA", find=_standing_drain),
    Estimator(path="charging.cable_route_m", rule="by body: 4 to 6 m", find=_cable_route),
    Estimator(path="charging.ground_route_m", rule="600 mm", find=_ground_route),
    Estimator(path="head_unit.signal", rule="line", find=_signal),
    Estimator(
        path="head_unit.output_v", rule="2.5 V from a line, 7.5 V from a speaker", find=_output
    ),
)

#: Dotted path inside the car -> its estimator.
BY_PATH: Final = {estimator.path: estimator for estimator in ESTIMATORS}


def fill(car: Tree, missing: Iterable[str]) -> dict[str, Origin]:
    """Fill what is missing in the readings of a car as far as that is possible.

    Parameters
    ----------
    car : dict
        Field values of the car as nested dicts; filled in place.
    missing : iterable of str
        Dotted paths of the fields to fill.

    Returns
    -------
    dict
        Path of each filled field -> its origin.
    """
    wanted, origins = set(missing), {}
    for estimator in ESTIMATORS:
        if estimator.path not in wanted:
            continue
        try:
            estimate = estimator.find(Readings(car))
        except KeyError:
            continue  # what it rests on is missing, and told of on its own
        _put(car, estimator.path, estimate.value)
        origins[estimator.path] = Origin(
            kind="estimated", low=estimate.low, high=estimate.high, note=estimate.note
        )
    return origins


def _put(car: Tree, path: str, value: object) -> None:
    *parents, name = path.split(".")
    node = car
    for parent in parents:
        node = node.setdefault(parent, {})
    node[name] = value
