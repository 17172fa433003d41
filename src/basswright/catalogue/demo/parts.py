"""The demo cables, fuses, holders, charging parts and fixings: standard sizes, invented prices.

Conductor sizes follow ASTM B258 (AWG), SAE J1127 (SAE) and ISO 6722-1 (mm2); fuse
ratings follow ISO 8820 and, for the high-current family, SAE J1888 (all from memory).
"""

from __future__ import annotations

from typing import Final, Literal

from basswright.catalogue.demo.makers import PART_MAKERS, Maker
from basswright.records.car import BatteryKind
from basswright.records.electrics import (
    AlternatorUpgrade,
    BatteryUpgrade,
    Cable,
    ConductorMaterial,
    Fixing,
    Fuse,
    FuseFamily,
    FuseHolder,
)

_STRAND, _FUSE, _FINE = PART_MAKERS

#: Series -> size -> metal cross-section for the price [mm2].
_CONDUCTORS: Final[dict[Literal["AWG", "SAE", "mm2"], dict[str, float]]] = {
    "AWG": {"10": 5.3, "8": 8.4, "6": 13.3, "4": 21.2, "2": 33.6, "1/0": 53.5, "2/0": 67.4},
    "SAE": {"8": 7.9, "6": 12.4, "4": 18.9, "2": 31.6, "1/0": 50.2},
    "mm2": {"6": 6, "10": 10, "16": 16, "20": 20, "25": 25, "35": 35, "50": 50, "70": 70},
}
_METAL_PRICE: Final[dict[ConductorMaterial, float]] = {
    "copper": 0.26,
    "tinned-copper": 0.31,
    "copper-clad-aluminium": 0.10,
}
_RATINGS_A: Final[dict[FuseFamily, tuple[float, ...]]] = {
    "blade": (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
    "maxi-blade": (20, 25, 30, 35, 40, 50, 60, 70, 80),
    "strip-sf30": (30, 40, 50, 60, 70, 80, 100, 125, 150),
    "strip-sf51": (100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500),
    "high-current": (
        *(35, 40, 50, 60, 80, 100, 130, 150, 175, 200, 225, 250, 275, 300, 325, 350, 400, 500),
    ),
}
_BREAKING_A: Final[dict[FuseFamily, float]] = {
    "blade": 1000.0,
    "maxi-blade": 1000.0,
    "strip-sf30": 2000.0,
    "strip-sf51": 2000.0,
    "high-current": 6000.0,
}
_FUSE_PRICE: Final[dict[FuseFamily, float]] = {
    "blade": 0.6,
    "maxi-blade": 2.4,
    "strip-sf30": 3.9,
    "strip-sf51": 6.5,
    "high-current": 7.9,
}
_HOLDERS: Final[tuple[tuple[FuseFamily, float, float], ...]] = (
    ("blade", 30, 4.9),
    ("blade", 40, 8.9),
    ("maxi-blade", 80, 14.9),
    ("strip-sf30", 150, 17.9),
    ("strip-sf51", 300, 24.9),
    ("strip-sf51", 500, 34.9),
    ("high-current", 300, 26.9),
    ("high-current", 500, 39.9),
)


_CABLE_OFFERS: Final[tuple[tuple[Maker, ConductorMaterial, float], ...]] = (
    (_STRAND, "copper", 105.0),
    (_FINE, "tinned-copper", 105.0),
    (_FUSE, "copper-clad-aluminium", 80.0),
)
_HOUR_S: Final = 3600.0
#: Kind, role, capacity [Ah], cold-cranking current [A], price.
_BATTERIES: Final[tuple[tuple[BatteryKind, Literal["replace", "second"], int, int, int], ...]] = (
    ("efb", "replace", 60, 560, 109),
    ("efb", "replace", 70, 650, 129),
    ("agm", "replace", 60, 660, 159),
    ("agm", "replace", 70, 760, 179),
    ("agm", "replace", 80, 800, 199),
    ("agm", "replace", 95, 850, 229),
    ("agm", "replace", 105, 950, 259),
    ("agm", "second", 35, 400, 139),
    ("agm", "second", 60, 660, 189),
    ("agm", "second", 80, 800, 239),
    ("agm", "second", 100, 900, 289),
    ("lithium", "second", 30, 600, 399),
    ("lithium", "second", 60, 1000, 699),
    ("lithium", "replace", 70, 1100, 799),
)
#: Rated output [A], output at idle [A], price.
_ALTERNATORS: Final = (
    (120, 70, 219),
    (140, 82, 259),
    (150, 90, 289),
    (180, 105, 349),
    (200, 120, 429),
    (240, 140, 549),
    (270, 160, 649),
    (320, 190, 829),
)
#: Kind, what it is, working load of the set [N], price.
_FIXINGS: Final[
    tuple[
        tuple[Literal["bracket-set", "strap", "bolt-set", "anchor-nut-set"], str, int, float], ...
    ]
] = (
    ("bracket-set", "two steel angles with screws", 1500, 9.9),
    ("bracket-set", "four steel angles with screws", 3000, 16.9),
    ("bracket-set", "four heavy angles with bolts", 6000, 27.9),
    ("strap", "lashing strap, 25 mm", 2500, 8.9),
    ("strap", "two lashing straps, 25 mm", 5000, 15.9),
    ("strap", "two lashing straps, 35 mm", 10000, 24.9),
    ("bolt-set", "four M6 bolts, large washers", 8000, 7.9),
    ("bolt-set", "four M8 bolts, large washers", 14000, 10.9),
    ("bolt-set", "six M8 bolts, backing plates", 21000, 22.9),
    ("anchor-nut-set", "four M6 rivet nuts and bolts", 4000, 9.5),
    ("anchor-nut-set", "four M8 rivet nuts and bolts", 7000, 12.5),
)


def cables() -> tuple[Cable, ...]:
    """Return power cables of every size, in copper, tinned copper and copper-clad aluminium."""
    return tuple(
        _cable(maker, series, size, material, insulation)
        for maker, material, insulation in _CABLE_OFFERS
        for series, sizes in _CONDUCTORS.items()
        for size in sizes
        if series == "AWG" or material != "copper-clad-aluminium"
    )


def _cable(
    maker: Maker,
    series: Literal["AWG", "SAE", "mm2"],
    size: str,
    material: ConductorMaterial,
    insulation_c: float,
) -> Cable:
    price = (0.9 + _METAL_PRICE[material] * _CONDUCTORS[series][size]) * maker.price_factor
    return Cable(
        id=f"demo-cable-{series}-{size}-{material}".lower().replace("/", "-"),
        maker=maker.name,
        model=f"{maker.series[0]} {size} {series} {material}",
        price=round(price, 2),
        series=series,
        size=size,
        material=material,
        insulation_c=insulation_c,
    )


def fuses() -> tuple[Fuse, ...]:
    """Return a fuse link of every standard rating of every family."""
    return tuple(
        Fuse(
            id=f"demo-fuse-{family}-{rating:g}",
            maker=_FUSE.name,
            model=f"{_FUSE.series[0]} {family} {rating:g} A",
            price=_FUSE_PRICE[family],
            family=family,
            rating_a=float(rating),
            breaking_a=_BREAKING_A[family],
        )
        for family, ratings in _RATINGS_A.items()
        for rating in ratings
    )


def fuse_holders() -> tuple[FuseHolder, ...]:
    """Return holders for every family."""
    return tuple(
        FuseHolder(
            id=f"demo-holder-{family}-{largest:g}",
            maker=_FUSE.name,
            model=f"{_FUSE.series[0]} holder {family}, up to {largest:g} A",
            price=price,
            family=family,
            largest_a=float(largest),
        )
        for family, largest, price in _HOLDERS
    )


def batteries() -> tuple[BatteryUpgrade, ...]:
    """Return batteries that replace the car's own or stand beside it."""
    return tuple(
        BatteryUpgrade(
            id=f"demo-battery-{kind}-{role}-{capacity}",
            maker=_FINE.name,
            model=f"{_FINE.series[0]} {kind} {capacity} Ah",
            price=float(price),
            kind=kind,
            role=role,
            capacity_ah=float(capacity),
            cca_a=float(cca),
            labour_s=(0.5 if role == "replace" else 2.5) * _HOUR_S,
        )
        for kind, role, capacity, cca, price in _BATTERIES
    )


def alternators() -> tuple[AlternatorUpgrade, ...]:
    """Return stronger alternators."""
    return tuple(
        AlternatorUpgrade(
            id=f"demo-alternator-{rated}",
            maker=_FINE.name,
            model=f"{_FINE.series[0]} {rated} A",
            price=float(price),
            rated_a=float(rated),
            idle_a=float(idle),
            labour_s=2.5 * _HOUR_S,
        )
        for rated, idle, price in _ALTERNATORS
    )


def fixings() -> tuple[Fixing, ...]:
    """Return what holds a box down."""
    return tuple(
        Fixing(
            id=f"demo-fixing-{number:02d}",
            maker=_STRAND.name,
            model=f"{_STRAND.series[0]}: {what}",
            price=price,
            kind=kind,
            rated_force_n=float(force),
        )
        for number, (kind, what, force, price) in enumerate(_FIXINGS, start=1)
    )
