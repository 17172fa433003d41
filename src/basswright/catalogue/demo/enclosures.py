"""The demo enclosures: records as a supplier would tell them, and the truth behind."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, Final

import numpy as np
from numpy.random import Generator

from basswright.catalogue.demo import boxes as hidden_boxes
from basswright.catalogue.demo import sheets
from basswright.catalogue.demo.boxes import Boxes
from basswright.catalogue.demo.cones import SIZES_INCH, SIZES_M
from basswright.catalogue.demo.hidden import Floats, HiddenBox
from basswright.catalogue.demo.makers import BOX_MAKERS, Maker
from basswright.catalogue.demo.sheets import Sheet
from basswright.records.enclosure import (
    BoxKind,
    BuiltInAmplifier,
    Cuboid,
    Driver,
    Enclosure,
    Firing,
    PassiveRadiators,
    Port,
    Terminals,
    Wedge,
)

_KIND_SHARE: Final[dict[BoxKind, float]] = {
    "closed": 0.36,
    "vented": 0.38,
    "passive-radiator": 0.17,
    "bandpass": 0.09,
}
_LETTER: Final[dict[BoxKind, str]] = {
    "closed": "C",
    "vented": "V",
    "passive-radiator": "R",
    "bandpass": "B",
}
_KIND_PRICE: Final[dict[BoxKind, float]] = {
    "closed": 1.0,
    "vented": 1.1,
    "passive-radiator": 1.45,
    "bandpass": 1.25,
}
#: Price of a box for one ordinary cone of each size, in euro. Invented.
_SIZE_PRICE: Final = np.array([170.0, 225.0, 290.0, 410.0])
_BUILT_IN_SHARE: Final = 0.14
#: Boxes whose coils or cones can be joined outside; up to this load they are in parallel.
_LED_OUT_SHARE: Final = 0.3
_PARALLEL_TO_OHM: Final = 3.0


def draw(rng: Generator, n: int) -> tuple[tuple[Enclosure, ...], dict[str, HiddenBox]]:
    """Draw n enclosures and, apart from them, their hidden parameters by id."""
    counts = {kind: int(n * share) for kind, share in _KIND_SHARE.items()}
    counts["closed"] += n - sum(counts.values())
    rows: list[tuple[Enclosure, HiddenBox]] = []
    for kind, count in counts.items():
        rows += _of_kind(rng, kind, count) if count else []
    order = rng.permutation(len(rows)).tolist()
    named: list[Enclosure] = []
    truth: dict[str, HiddenBox] = {}
    width = max(4, len(str(n)))
    # drawn apart, so that a range keeps all its other figures
    apart = rng.spawn(1)[0]
    for number, row in enumerate(order, start=1):
        enclosure, box = rows[row]
        id_ = f"demo-box-{number:0{width}d}"
        model = f"{enclosure.model}-{number}"
        terminals = _terminals(apart, enclosure)
        update = {"id": id_, "model": model, "terminals": terminals}
        named.append(enclosure.model_copy(update=update))
        truth[id_] = box
    return tuple(named), truth


def _terminals(rng: Generator, enclosure: Enclosure) -> Terminals | None:
    """Lead the cones, or the two coils of a single cone, out one by one in some boxes."""
    led_out, load, count = rng.random(), enclosure.load_ohm, enclosure.driver.count
    if enclosure.amplifier is not None or load is None or led_out >= _LED_OUT_SHARE:
        return None
    pairs = count if count > 1 else 2
    each = load * pairs if load <= _PARALLEL_TO_OHM else load / pairs
    return Terminals(pairs=pairs, load_ohm=each) if 0.5 <= each <= 16 else None


def _of_kind(rng: Generator, kind: BoxKind, n: int) -> list[tuple[Enclosure, HiddenBox]]:
    boxes = hidden_boxes.draw(rng, kind, n)
    makers = [BOX_MAKERS[i] for i in rng.integers(0, len(BOX_MAKERS), n).tolist()]
    sheet = sheets.write(rng, kind, boxes, np.array([maker.silence for maker in makers]))
    built_in = _built_in(rng, boxes)
    prices = _prices(rng, kind, boxes, makers, built_in)
    firing = _firing(rng, boxes)
    series = rng.integers(0, 2, n).tolist()
    table = _told_columns(sheet)
    return [
        (
            _record(
                kind,
                boxes,
                row,
                told={name: column[row] for name, column in table.items()},
                sheet=sheet,
                head={
                    "maker": makers[row].name,
                    "model": _model(kind, boxes, row, makers[row].series[series[row]]),
                    "price": prices[row],
                    "amplifier": built_in[row],
                    "firing": firing[row],
                },
            ),
            _truth(kind, boxes, row),
        )
        for row in range(n)
    ]


def _model(kind: BoxKind, boxes: Boxes, row: int, series: str) -> str:
    inch = SIZES_INCH[np.searchsorted(SIZES_M, boxes.cones.size_m[row])]
    count = int(boxes.cones.count[row])
    return f"{series} {f'{count}x' if count > 1 else ''}{inch}{_LETTER[kind]}"


def _firing(rng: Generator, boxes: Boxes) -> list[Firing]:
    upright = boxes.carcass.lean_m > 0
    drawn = rng.choice(["front", "up", "down"], upright.size, p=[0.78, 0.16, 0.06])
    directions: list[Firing] = np.where(upright, "front", drawn).tolist()
    return directions


def _built_in(rng: Generator, boxes: Boxes) -> list[BuiltInAmplifier | None]:
    n = boxes.power_w.size
    power = sheets.steps(np.clip(boxes.power_w * rng.uniform(0.45, 0.85, n), 60, 1200))
    efficiency = np.where(power > 150, rng.uniform(0.75, 0.85, n), rng.uniform(0.5, 0.8, n))
    current = np.round(power / (efficiency * 14.4), 1)
    fuse = np.maximum(np.ceil(current / 5) * 5, 10.0)
    chosen = rng.random(n) < _BUILT_IN_SHARE
    tells = rng.random((2, n)) < 0.7
    return [
        BuiltInAmplifier(
            power_w=power[i].item(),
            amplifier_class="D" if efficiency[i] > 0.65 else "AB",
            current_a=current[i].item() if tells[0, i] else None,
            fuse_a=fuse[i].item() if tells[1, i] else None,
        )
        if chosen[i]
        else None
        for i in range(n)
    ]


def _prices(
    rng: Generator,
    kind: BoxKind,
    boxes: Boxes,
    makers: list[Maker],
    built_in: list[BuiltInAmplifier | None],
) -> list[float]:
    cones = boxes.cones
    base = _SIZE_PRICE[np.searchsorted(SIZES_M, cones.size_m)] * _KIND_PRICE[kind]
    power = (boxes.power_w / cones.count / (3400 * cones.size_m**2)) ** 0.45
    factor = np.array([maker.price_factor for maker in makers])
    noise = np.exp(rng.normal(0.0, 0.10, factor.size))
    amplifier = np.array([0 if a is None else 45 + 0.33 * a.power_w for a in built_in])
    price = (base * power * cones.count**0.8 + amplifier) * factor * noise
    ten = np.round(np.clip(price, 119.0, 2480.0) / 10) * 10
    prices: list[float] = (ten - 1.0).tolist()
    return prices


def _told_columns(sheet: Sheet) -> dict[str, list[float | None]]:
    """Return the sheet's plain columns with None where nothing is told."""
    columns: dict[str, Floats] = {
        field.name: getattr(sheet, field.name)
        for field in fields(sheet)
        if not field.name.startswith("tells") and field.name != "cone"
    }
    columns |= {f"cone.{name}": values for name, values in sheet.cone.items()}
    return {
        name: [None if value != value else value for value in values.tolist()]
        for name, values in columns.items()
    }


def _record(
    kind: BoxKind,
    boxes: Boxes,
    row: int,
    *,
    told: dict[str, float | None],
    sheet: Sheet,
    head: dict[str, Any],
) -> Enclosure:
    """Put one row together as a record, its id still to come."""
    plain: dict[str, Any] = {
        name: value for name, value in told.items() if not name.startswith("cone.")
    }
    if head["amplifier"] is not None:
        plain |= {"load_ohm": None, "power_low_w": None, "power_high_w": None}
    tuned = kind != "closed"
    has_port = kind in ("vented", "bandpass") and bool(sheet.tells_port[row])
    has_radiators = kind == "passive-radiator" and bool(sheet.tells_radiators[row])
    cone = {name[5:]: value for name, value in told.items() if name.startswith("cone.")}
    return Enclosure(
        id="to-come",
        kind=kind,
        shape=_shape(boxes, row, head["firing"]),
        driver=Driver(
            size_m=boxes.cones.size_m[row].item(), count=int(boxes.cones.count[row]), **cone
        ),
        **(plain if tuned else {**plain, "tuning_hz": None}),
        ports=_port(boxes, row) if has_port else None,
        radiators=_radiators(boxes, row) if has_radiators else None,
        **head,
    )


def _shape(boxes: Boxes, row: int, firing: Firing) -> Cuboid | Wedge:
    shell = boxes.carcass
    width, height = shell.width_m[row].item(), shell.height_m[row].item()
    depth, lean = shell.mid_depth_m[row].item(), shell.lean_m[row].item()
    if lean > 0:
        return Wedge(
            width_m=width,
            height_m=height,
            depth_bottom_m=round(depth + lean / 2, 3),
            depth_top_m=round(depth - lean / 2, 3),
        )
    if firing != "front":
        return Cuboid(width_m=width, height_m=depth, depth_m=height)
    return Cuboid(width_m=width, height_m=height, depth_m=depth)


def _port(boxes: Boxes, row: int) -> Port:
    port = boxes.port
    area, count = port.area_m2[row].item(), int(port.count[row])
    length = round(port.length_m[row].item(), 3)
    if port.is_slot[row]:
        inside = boxes.carcass.height_m[row].item() - 2 * boxes.carcass.panel_m[row].item()
        across = round(inside, 3)
        return Port(width_m=across, height_m=round(area / across, 4), length_m=length)
    diameter = round(2 * (area / count / np.pi) ** 0.5, 3)
    flared = bool(port.flared[row])
    return Port(count=count, diameter_m=diameter, length_m=length, flared=flared)


def _radiators(boxes: Boxes, row: int) -> PassiveRadiators:
    chambers = boxes.chambers
    return PassiveRadiators(
        count=int(chambers.radiator_count[row]),
        size_m=boxes.cones.size_m[row].item(),
        Sd_m2=round(chambers.radiator_Sd_m2[row].item(), 4),
        Mms_kg=round(chambers.radiator_Mms_kg[row].item(), 3),
        Xmax_m=round(chambers.radiator_Xmax_m[row].item(), 3),
    )


def _truth(kind: BoxKind, boxes: Boxes, row: int) -> HiddenBox:
    columns = {**boxes.cones.__dict__, **boxes.chambers.__dict__, **boxes.__dict__}
    wanted = {field.name for field in fields(HiddenBox)} - {"kind", "net_volume_m3"}
    drawn = {name: columns[name][row].item() for name in wanted}
    figures: dict[str, Any] = {
        name: None if value != value else value for name, value in drawn.items()
    }
    return HiddenBox(kind=kind, net_volume_m3=columns["volume_m3"][row].item(), **figures)
