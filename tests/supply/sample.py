"""An invented car and an invented shelf of supply parts for the tests."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from basswright.records.car import Charging
from basswright.records.electrics import (
    AlternatorUpgrade,
    BatteryUpgrade,
    Cable,
    ConductorMaterial,
    Fuse,
    FuseFamily,
    FuseHolder,
)
from basswright.records.snapshot import Snapshot

MAKER = "Invented"


def charging(**changes: object) -> Charging:
    """Return a common car: 120 A alternator, 70 Ah battery, cable to the boot."""
    values: dict[str, object] = {
        "alternator_rated_a": 120.0,
        "alternator_idle_a": 60.0,
        "running_voltage_v": 14.0,
        "battery_kind": "flooded",
        "battery_capacity_ah": 70.0,
        "battery_cca_a": 640.0,
        "base_load_a": 45.0,
        "standing_drain_a": 0.025,
        "cable_route_m": 5.5,
        "ground_route_m": 0.5,
    }
    return Charging.model_validate(values | changes)


def cable(
    size: str, price: float = 1.0, *, series: str = "AWG", material: ConductorMaterial = "copper"
) -> Cable:
    """Return a cable of an invented maker."""
    return Cable.model_validate(
        {
            "id": f"{series}-{size}-{material}",
            "maker": MAKER,
            "model": f"{size} {series}",
            "price": price,
            "series": series,
            "size": size,
            "material": material,
            "insulation_c": 105.0,
        }
    )


def fuse(
    rating_a: float,
    *,
    family: FuseFamily = "high-current",
    breaking_a: float = 6000.0,
    price: float = 4.0,
) -> Fuse:
    """Return a fuse of an invented maker."""
    return Fuse(
        id=f"{family}-{rating_a:g}",
        maker=MAKER,
        model=f"{rating_a:g} A",
        price=price,
        family=family,
        rating_a=rating_a,
        breaking_a=breaking_a,
    )


def holder(family: FuseFamily, largest_a: float, price: float = 12.0) -> FuseHolder:
    """Return a fuse holder of an invented maker."""
    return FuseHolder(
        id=f"holder-{family}-{largest_a:g}",
        maker=MAKER,
        model="holder",
        price=price,
        family=family,
        largest_a=largest_a,
    )


def battery(
    capacity_ah: float, cca_a: float, price: float, *, role: str = "replace", kind: str = "agm"
) -> BatteryUpgrade:
    """Return a battery of an invented maker."""
    return BatteryUpgrade.model_validate(
        {
            "id": f"battery-{role}-{capacity_ah:g}",
            "maker": MAKER,
            "model": f"{capacity_ah:g} Ah",
            "price": price,
            "kind": kind,
            "role": role,
            "capacity_ah": capacity_ah,
            "cca_a": cca_a,
            "labour_s": 1800.0,
        }
    )


def alternator(rated_a: float, idle_a: float, price: float) -> AlternatorUpgrade:
    """Return an alternator of an invented maker."""
    return AlternatorUpgrade(
        id=f"alternator-{rated_a:g}",
        maker=MAKER,
        model=f"{rated_a:g} A",
        price=price,
        rated_a=rated_a,
        idle_a=idle_a,
        labour_s=7200.0,
    )


def snapshot(**changes: Any) -> Snapshot:
    """Return a shelf with all kinds of supply parts."""
    sizes = {"8": 2.0, "6": 3.0, "4": 4.5, "2": 7.5, "1/0": 12.0, "2/0": 16.0}
    metric = {"10": 2.6, "16": 3.6, "25": 5.4, "35": 8.0, "50": 11.5, "70": 15.0}
    ratings = (40, 50, 60, 80, 100, 130, 150, 175, 200, 225, 250, 300)
    values: dict[str, Any] = {
        "currency": "EUR",
        "enclosures": (),
        "amplifiers": (),
        "cables": (
            *(cable(size, price) for size, price in sizes.items()),
            *(cable(size, price, series="mm2") for size, price in metric.items()),
            cable("1/0", 6.0, material="copper-clad-aluminium"),
        ),
        "fuses": (
            *(fuse(float(rating), price=4.0 + rating / 50) for rating in ratings),
            *(
                fuse(float(rating), family="strip-sf30", breaking_a=2000.0, price=2.0)
                for rating in (50, 60, 80, 100, 125, 150)
            ),
        ),
        "fuse_holders": (
            holder("high-current", 300.0, 18.0),
            holder("strip-sf30", 200.0, 9.0),
        ),
        "batteries": (
            battery(80.0, 800.0, 190.0),
            battery(95.0, 850.0, 230.0),
            battery(60.0, 680.0, 260.0, role="second"),
        ),
        "alternators": (alternator(180.0, 90.0, 420.0), alternator(250.0, 140.0, 700.0)),
        "fixings": (),
    }
    return replace(Snapshot(**values), **changes)
