"""Rules on the body of a box: room, power, load, mass, and the parts of its kind."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.catalogue.plausibility.figures import BoxFigures
from basswright.catalogue.plausibility.findings import Finding, Floats, Rule

#: Thinnest walls that hold together, and usual thin ones [m].
_FOIL_M, _THIN_M = 0.003, 0.009
#: What a large coil of a cone of this size carries for hours [W at 0.3 m]. From memory.
_COIL_W: Final = 1100.0
_LAST_V: Final = 15.0


def _mm(value: float) -> str:
    return f"{1e3 * value:.0f} mm"


def _litres(value: float) -> str:
    return f"{1e3 * value:.1f} L"


def _inside_m3(figures: BoxFigures, wall_m: float) -> Floats:
    slant = np.hypot(1.0, figures.lean_m / figures.sides_m[:, 1])
    walls = np.stack([np.full_like(slant, 2.0), np.full_like(slant, 2.0), 1 + slant], axis=1)
    filled = figures.outer_m3 / np.prod(figures.sides_m, axis=1)
    return np.asarray(np.prod(figures.sides_m - walls * wall_m, axis=1) * filled, float)


def _air(figures: BoxFigures) -> Finding:
    room = _inside_m3(figures, _FOIL_M)
    usual = _inside_m3(figures, _THIN_M) - 0.04 * figures.count * figures.size_m**3
    excess = 1e3 * (figures.net_volume_m3 - usual)
    surely = 1e3 * (figures.net_volume_m3 - room)
    worst = np.where(surely > 0, np.maximum(excess, 1e3), excess)
    return Finding(excess=worst, doubtful_from=0.0, contradiction_from=1e3)


def _air_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "net_volume": _litres(figures.net_volume_m3[i]),
        "inside": _litres(_inside_m3(figures, _THIN_M)[i]),
        "outside": _litres(figures.outer_m3[i]),
    }


def _cone_area(figures: BoxFigures) -> Finding:
    whole = np.pi / 4 * figures.size_m**2
    excess = 100 * (figures.Sd_m2 / whole - 1)
    too_small = 100 * (0.40 * whole / figures.Sd_m2 - 1)
    return Finding(
        excess=np.maximum(excess, np.minimum(too_small, 9.0)),
        doubtful_from=0.0,
        contradiction_from=10.0,
    )


def _cone_area_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "Sd": f"{1e4 * figures.Sd_m2[i]:.0f} cm2",
        "size": _mm(figures.size_m[i]),
        "whole": f"{1e4 * np.pi / 4 * figures.size_m[i] ** 2:.0f} cm2",
    }


def _cone_room(figures: BoxFigures) -> Finding:
    panel = np.sort(figures.sides_m, axis=1)[:, 1]
    return Finding(
        excess=1e3 * (figures.size_m - panel) + 10, doubtful_from=0.0, contradiction_from=10.0
    )


def _cone_room_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    sides = " x ".join(f"{1e3 * side:.0f}" for side in figures.sides_m[i])
    return {"size": _mm(figures.size_m[i]), "sides": f"{sides} mm"}


def _coil_power(figures: BoxFigures) -> Finding:
    carried = _COIL_W * (figures.size_m / 0.30) ** 1.5
    excess = figures.power_high_w / figures.count / carried
    return Finding(excess=excess, doubtful_from=1.2, contradiction_from=4.0)


def _coil_power_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    each = figures.power_high_w[i] / figures.count[i]
    carried = _COIL_W * (figures.size_m[i] / 0.30) ** 1.5
    return {
        "power_high": f"{figures.power_high_w[i]:.0f} W",
        "each": f"{each:.0f} W",
        "size": _mm(figures.size_m[i]),
        "carried": f"{carried:.0f} W",
    }


def _power_range(figures: BoxFigures) -> Finding:
    ratio = figures.power_high_w / figures.power_low_w
    excess = np.where(ratio < 1, 1e6, ratio)
    return Finding(
        excess=np.where(np.isnan(ratio), np.nan, excess),
        doubtful_from=12.0,
        contradiction_from=1e6,
    )


def _power_range_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "power_low": f"{figures.power_low_w[i]:.0f} W",
        "power_high": f"{figures.power_high_w[i]:.0f} W",
    }


def _built_in(figures: BoxFigures) -> Finding:
    amperes = np.fmin(figures.built_in_fuse_a, figures.built_in_current_a)
    return Finding(
        excess=figures.built_in_w / (amperes * _LAST_V),
        doubtful_from=0.88,
        contradiction_from=1.0,
    )


def _built_in_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    amperes = np.fmin(figures.built_in_fuse_a, figures.built_in_current_a)[i]
    return {
        "power": f"{figures.built_in_w[i]:.0f} W",
        "current": f"{amperes:.0f} A",
        "fed": f"{amperes * _LAST_V:.0f} W at {_LAST_V:.0f} V",
    }


def _load(figures: BoxFigures) -> Finding:
    """Compare the coils' resistance with the load, in the wiring that suits best."""
    off = np.full(figures.count.shape, np.inf)
    for series in (1, 2, 3, 4, 6, 8):
        possible = figures.count % series == 0
        total = figures.Re_ohm * series**2 / figures.count
        share = total / figures.load_ohm
        here = np.maximum(share - 1.0, 0.70 - share)
        off = np.where(possible, np.fmin(off, here), off)
    missing = np.isnan(figures.Re_ohm * figures.load_ohm)
    return Finding(
        excess=100 * np.where(missing, np.nan, off), doubtful_from=2.0, contradiction_from=25.0
    )


def _load_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "load": f"{figures.load_ohm[i]:g} ohm",
        "Re": f"{figures.Re_ohm[i]:g} ohm",
        "count": f"{figures.count[i]:.0f}",
    }


def _parts(figures: BoxFigures) -> Finding:
    tuned = ~np.isnan(figures.tuning_hz)
    closed = (figures.kind == "closed") & (tuned | figures.tells_port | figures.tells_radiators)
    vented = (figures.kind == "vented") & figures.tells_radiators & ~figures.tells_port
    passive = (figures.kind == "passive-radiator") & figures.tells_port & ~figures.tells_radiators
    return Finding(
        excess=(closed | vented | passive).astype(float),
        doubtful_from=0.5,
        contradiction_from=0.5,
    )


def _parts_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    told = {
        "a tuning": not np.isnan(figures.tuning_hz[i]),
        "a port": bool(figures.tells_port[i]),
        "radiators": bool(figures.tells_radiators[i]),
    }
    parts = ", ".join(name for name, there in told.items() if there)
    return {"kind": str(figures.kind[i]), "parts": parts}


def _mass(figures: BoxFigures) -> Finding:
    density = figures.mass_kg / figures.outer_m3
    off = np.maximum(120.0 / density, density / 1100.0)
    return Finding(excess=off, doubtful_from=1.0, contradiction_from=np.inf)


def _mass_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {"mass": f"{figures.mass_kg[i]:.1f} kg", "outside": _litres(figures.outer_m3[i])}


BODY_RULES: Final[tuple[Rule[BoxFigures], ...]] = (
    Rule(
        name="air inside",
        description="The net volume has to go between the walls.",
        fields=("net_volume_m3",),
        sentence="{net_volume} of air do not go into {inside} between 9 mm walls "
        "({outside} outside)",
        unit="L",
        judge=_air,
        shows=_air_shown,
    ),
    Rule(
        name="cone area",
        description="A cone cannot be larger than the circle of its nominal size.",
        fields=("driver.Sd_m2",),
        sentence="Sd {Sd} for a nominal size of {size} (its whole circle: {whole})",
        unit="%",
        judge=_cone_area,
        shows=_cone_area_shown,
    ),
    Rule(
        name="room for the cone",
        description="A panel has to be as wide and as high as the cone.",
        fields=("driver.size_m",),
        sentence="no panel of {sides} takes a cone of {size}",
        unit="mm",
        judge=_cone_room,
        shows=_cone_room_shown,
    ),
    Rule(
        name="power and coil",
        description="A coil gets rid of so much heat; more is a peak figure sold as RMS.",
        fields=("power_high_w",),
        sentence="{power_high}, {each} for each cone of {size}: large coils of that size "
        "carry about {carried}; is it a peak figure?",
        unit="times",
        judge=_coil_power,
        shows=_coil_power_shown,
    ),
    Rule(
        name="power range",
        description="The range runs upwards and is not wider than sense.",
        fields=("power_low_w", "power_high_w"),
        sentence="recommended from {power_low} up to {power_high}",
        unit="times",
        judge=_power_range,
        shows=_power_range_shown,
    ),
    Rule(
        name="built-in power and fuse",
        description="An amplifier gives out less than its fuse or current lets in.",
        fields=("amplifier.power_w",),
        sentence="{power} out of {current}, which feed {fed} before any loss; is it a peak figure?",
        unit="times",
        judge=_built_in,
        shows=_built_in_shown,
    ),
    Rule(
        name="coils and load",
        description="The coils' resistance is 0.7 to 1 times the nominal load, in some wiring.",
        fields=("load_ohm",),
        sentence="{load} in all cannot be made of {count} coil(s) of {Re}",
        unit="%",
        judge=_load,
        shows=_load_shown,
    ),
    Rule(
        name="parts of the kind",
        description="A closed box has no port, tuning or passive radiator.",
        fields=("kind",),
        sentence="{kind}, yet the sheet tells of {parts}",
        unit="",
        judge=_parts,
        shows=_parts_shown,
    ),
    Rule(
        name="mass",
        description="Boxes weigh 120 to 1100 kg for each cubic metre outside. From memory.",
        fields=("mass_kg",),
        sentence="{mass} for {outside} outside",
        unit="times",
        judge=_mass,
        shows=_mass_shown,
    ),
)
