"""The figures of many data sheets as columns; NaN where nothing is told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from basswright.catalogue.plausibility.findings import Floats
from basswright.records.amplifier import Amplifier
from basswright.records.enclosure import Enclosure, Port
from basswright.records.shapes import Wedge, outer_sizes_m, outer_volume_m3


@dataclass(frozen=True, kw_only=True)
class BoxFigures:
    """Columns of n enclosures; names and units as in the record."""

    kind: NDArray[np.str_]
    sides_m: Floats
    lean_m: Floats
    outer_m3: Floats
    size_m: Floats
    count: Floats
    load_ohm: Floats
    power_low_w: Floats
    power_high_w: Floats
    sensitivity_db: Floats
    low_limit_hz: Floats
    net_volume_m3: Floats
    tuning_hz: Floats
    mass_kg: Floats
    port_area_m2: Floats
    port_length_m: Floats
    port_across_m: Floats
    tells_port: NDArray[np.bool_]
    tells_radiators: NDArray[np.bool_]
    built_in_w: Floats
    built_in_current_a: Floats
    built_in_fuse_a: Floats
    fs_hz: Floats
    Qes: Floats
    Qms: Floats
    Qts: Floats
    Vas_m3: Floats
    Re_ohm: Floats
    Sd_m2: Floats
    Bl_tm: Floats
    Mms_kg: Floats


def of_boxes(boxes: Sequence[Enclosure]) -> BoxFigures:
    """Return the figures of enclosures as columns."""

    def column(get: Callable[[Enclosure], float | None]) -> Floats:
        values = (get(box) for box in boxes)
        return np.array([np.nan if v is None else v for v in values], float)

    sides = np.array([_sides(box) for box in boxes], float).reshape(len(boxes), 4)
    return BoxFigures(
        kind=np.array([box.kind for box in boxes], dtype=np.str_),
        sides_m=sides[:, :3],
        lean_m=sides[:, 3],
        outer_m3=column(lambda b: outer_volume_m3(b.shape)),
        size_m=column(lambda b: b.driver.size_m),
        count=column(lambda b: b.driver.count),
        load_ohm=column(lambda b: b.load_ohm),
        power_low_w=column(lambda b: b.power_low_w),
        power_high_w=column(lambda b: b.power_high_w),
        sensitivity_db=column(lambda b: b.sensitivity_db),
        low_limit_hz=column(lambda b: b.low_limit_hz),
        net_volume_m3=column(lambda b: b.net_volume_m3),
        tuning_hz=column(lambda b: b.tuning_hz),
        mass_kg=column(lambda b: b.mass_kg),
        port_area_m2=column(lambda b: _port_area(b.ports)),
        port_length_m=column(lambda b: b.ports.length_m if b.ports else None),
        port_across_m=column(lambda b: _port_across(b.ports)),
        tells_port=np.array([box.ports is not None for box in boxes], np.bool_),
        tells_radiators=np.array([box.radiators is not None for box in boxes], np.bool_),
        built_in_w=column(lambda b: b.amplifier.power_w if b.amplifier else None),
        built_in_current_a=column(lambda b: b.amplifier.current_a if b.amplifier else None),
        built_in_fuse_a=column(lambda b: b.amplifier.fuse_a if b.amplifier else None),
        fs_hz=column(lambda b: b.driver.fs_hz),
        Qes=column(lambda b: b.driver.Qes),
        Qms=column(lambda b: b.driver.Qms),
        Qts=column(lambda b: b.driver.Qts),
        Vas_m3=column(lambda b: b.driver.Vas_m3),
        Re_ohm=column(lambda b: b.driver.Re_ohm),
        Sd_m2=column(lambda b: b.driver.Sd_m2),
        Bl_tm=column(lambda b: b.driver.Bl_tm),
        Mms_kg=column(lambda b: b.driver.Mms_kg),
    )


def _sides(box: Enclosure) -> tuple[float, float, float, float]:
    """Return width, height, mean depth and how much the depths differ [m]."""
    shape = box.shape
    if not isinstance(shape, Wedge):
        return *outer_sizes_m(shape), 0.0
    mean = (shape.depth_bottom_m + shape.depth_top_m) / 2
    return shape.width_m, shape.height_m, mean, shape.depth_bottom_m - shape.depth_top_m


def _port_area(port: Port | None) -> float | None:
    if port is None:
        return None
    if port.diameter_m is not None:
        return port.count * np.pi * port.diameter_m**2 / 4
    if port.width_m is not None and port.height_m is not None:
        return port.count * port.width_m * port.height_m
    return None


def _port_across(port: Port | None) -> float | None:
    """Return the diameter of a round opening as large as one port [m]."""
    area = _port_area(port)
    return None if area is None or port is None else 2 * (area / port.count / np.pi) ** 0.5


@dataclass(frozen=True, kw_only=True)
class AmplifierFigures:
    """Columns of n amplifiers. `total_w` is the largest sum over all outputs.

    `steepest` is the largest rise of power between two loads over the rise that a
    fixed voltage would give; `bridged_ratio` the bridged power over twice that of one
    output at half the load, where both are told.
    """

    total_w: Floats
    efficiency_share: Floats
    current_a: Floats
    fuse_a: Floats
    is_linear: NDArray[np.bool_]
    steepest: Floats
    bridged_ratio: Floats


def of_amplifiers(amplifiers: Sequence[Amplifier]) -> AmplifierFigures:
    """Return the figures of amplifiers as columns."""

    def column(values: list[float | None]) -> Floats:
        return np.array([np.nan if v is None else v for v in values], float)

    return AmplifierFigures(
        total_w=column([_total_w(a) for a in amplifiers]),
        efficiency_share=column([a.efficiency_share for a in amplifiers]),
        current_a=column([a.current_a for a in amplifiers]),
        fuse_a=column([a.fuse_a for a in amplifiers]),
        is_linear=np.array([a.amplifier_class == "AB" for a in amplifiers], np.bool_),
        steepest=column([_steepest(a) for a in amplifiers]),
        bridged_ratio=column([_bridged_ratio(a) for a in amplifiers]),
    )


def _by_load(amplifier: Amplifier) -> dict[float, float]:
    return {r.load_ohm: r.power_w for r in amplifier.ratings if r.mode != "bridged"}


def _total_w(amplifier: Amplifier) -> float:
    plain = [p * amplifier.channels for p in _by_load(amplifier).values()]
    bridged = [r.power_w for r in amplifier.ratings if r.mode == "bridged"]
    pairs = max(amplifier.channels // 2, 1)
    return max([*plain, *(power * pairs for power in bridged)])


def _steepest(amplifier: Amplifier) -> float | None:
    powers = sorted(_by_load(amplifier).items())
    rises = [
        (low_power / high_power) / (high / low)
        for (low, low_power), (high, high_power) in pairwise(powers)
    ]
    return max(rises, default=None)


def _bridged_ratio(amplifier: Amplifier) -> float | None:
    plain = _by_load(amplifier)
    ratios = [
        r.power_w / (2 * plain[r.load_ohm / 2])
        for r in amplifier.ratings
        if r.mode == "bridged" and r.load_ohm / 2 in plain
    ]
    return max(ratios, default=None)
