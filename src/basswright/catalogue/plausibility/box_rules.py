"""Rules that catch data sheets of enclosures that contradict physics or themselves.

References
----------
.. [1] R. H. Small, "Direct-Radiator Loudspeaker System Analysis", JAES 20(5), 1972.
.. [2] R. H. Small, "Closed-Box Loudspeaker Systems I", JAES 20(10), 1972.
.. [3] R. H. Small, "Vented-Box Loudspeaker Systems I", JAES 21(5), 1973.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.catalogue.plausibility.figures import BoxFigures
from basswright.catalogue.plausibility.findings import Finding, Floats, Rule

_RHO, _C = 1.204, 343.2
#: Most efficiency per volume and cubed -10 dB limit, eta0 / (f10^3 Vb) [s3/m3]. Closed:
#: largest over all Qtc with the box as the only spring (at Qtc 0.71). Tuned: largest
#: found over Qt, h and alpha of a lossless vented box. Own calculations from [2]_, [3]_.
_MOST_EFFICIENCY: Final = {"closed": 7.18e-6, "vented": 2.69e-5, "passive-radiator": 2.69e-5}
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
    return np.asarray(np.prod(figures.sides_m - walls * wall_m, axis=1), float)


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


def _efficiency_share(figures: BoxFigures) -> Floats:
    """Return the efficiency that a sensitivity means: 112.16 dB is one (1 W, half space)."""
    return np.asarray(10 ** ((figures.sensitivity_db - 112.16) / 10), float)


def _law(figures: BoxFigures) -> Finding:
    most = np.array([_MOST_EFFICIENCY.get(kind, np.nan) for kind in figures.kind])
    possible = most * figures.low_limit_hz**3 * figures.net_volume_m3
    excess = 10 * np.log10(_efficiency_share(figures) / possible)
    return Finding(excess=excess, doubtful_from=0.5, contradiction_from=2.5)


def _law_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    most = _MOST_EFFICIENCY[str(figures.kind[i])]
    possible = most * figures.low_limit_hz[i] ** 3 * figures.net_volume_m3[i]
    shown = {
        "sensitivity": f"{figures.sensitivity_db[i]:.1f} dB",
        "low_limit": f"{figures.low_limit_hz[i]:.0f} Hz",
        "net_volume": _litres(figures.net_volume_m3[i]),
        "possible": f"{112.16 + 10 * np.log10(possible):.1f} dB",
    }
    load = figures.load_ohm[i]
    shown["hint"] = (
        f"; at 2.83 V instead of 1 W it would read {10 * np.log10(8 / load):.1f} dB more"
        if load < 8
        else ""
    )
    return shown


def _reference_db(figures: BoxFigures) -> Floats:
    """Return the level of the cones by their Thiele/Small figures: 1 W, half space [1]_."""
    eta0 = 4 * np.pi**2 / _C**3 * figures.fs_hz**3 * figures.Vas_m3 / figures.Qes
    return np.asarray(112.16 + 10 * np.log10(eta0 * figures.count), float)


def _sensitivity(figures: BoxFigures) -> Finding:
    excess = np.abs(figures.sensitivity_db - _reference_db(figures))
    excess = np.where(figures.kind == "bandpass", np.nan, excess)
    return Finding(excess=excess, doubtful_from=2.5, contradiction_from=6.0)


def _sensitivity_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "sensitivity": f"{figures.sensitivity_db[i]:.1f} dB",
        "by_cone": f"{_reference_db(figures)[i]:.1f} dB",
    }


def _ratio(value: Floats, expected: Floats) -> Floats:
    """Return how far two figures are apart, as a share of the smaller one."""
    return np.asarray(np.maximum(value / expected, expected / value) - 1, float)


def _expected_Qes(figures: BoxFigures) -> Floats:
    w = 2 * np.pi * figures.fs_hz
    return np.asarray(w * figures.Mms_kg * figures.Re_ohm / figures.Bl_tm**2, float)


def _expected_Vas(figures: BoxFigures) -> Floats:
    compliance = 1 / ((2 * np.pi * figures.fs_hz) ** 2 * figures.Mms_kg)
    return np.asarray(_RHO * _C**2 * figures.Sd_m2**2 * compliance, float)


def _thiele_small(figures: BoxFigures) -> Finding:
    motor = _ratio(figures.Qes, _expected_Qes(figures))
    spring = _ratio(figures.Vas_m3, _expected_Vas(figures))
    return Finding(excess=100 * np.fmax(motor, spring), doubtful_from=20.0, contradiction_from=60.0)


def _thiele_small_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "Qes": f"{figures.Qes[i]:.3g}",
        "Qes_by_rest": f"{_expected_Qes(figures)[i]:.3g}",
        "Vas": _litres(figures.Vas_m3[i]),
        "Vas_by_rest": _litres(_expected_Vas(figures)[i]),
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


def _port_tuning_hz(figures: BoxFigures) -> Floats:
    effective = figures.port_length_m + 0.731 * figures.port_across_m
    stiffness = figures.port_area_m2 / (figures.net_volume_m3 * effective)
    return np.asarray(_C / (2 * np.pi) * np.sqrt(stiffness), float)


def _tuning(figures: BoxFigures) -> Finding:
    off = 100 * _ratio(figures.tuning_hz, _port_tuning_hz(figures))
    return Finding(
        excess=np.where(figures.kind == "vented", off, np.nan),
        doubtful_from=20.0,
        contradiction_from=60.0,
    )


def _tuning_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "tuning": f"{figures.tuning_hz[i]:.0f} Hz",
        "by_port": f"{_port_tuning_hz(figures)[i]:.0f} Hz",
        "net_volume": _litres(figures.net_volume_m3[i]),
    }


def _below_tuning(figures: BoxFigures) -> Finding:
    tuned = np.isin(figures.kind, ("vented", "passive-radiator"))
    excess = 100 * (1 - figures.low_limit_hz / figures.tuning_hz)
    return Finding(
        excess=np.where(tuned, excess, np.nan), doubtful_from=42.0, contradiction_from=60.0
    )


def _below_tuning_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "low_limit": f"{figures.low_limit_hz[i]:.0f} Hz",
        "tuning": f"{figures.tuning_hz[i]:.0f} Hz",
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


BOX_RULES: Final[tuple[Rule[BoxFigures], ...]] = (
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
        name="loud, low and small",
        description="Efficiency is at most a constant times volume times the cubed low limit.",
        fields=("sensitivity_db", "low_limit_hz", "net_volume_m3"),
        sentence="{sensitivity} down to {low_limit} from {net_volume}: physics allows "
        "{possible} at most{hint}",
        unit="dB",
        judge=_law,
        shows=_law_shown,
    ),
    Rule(
        name="sensitivity of the cone",
        description="The told sensitivity should be what the Thiele/Small figures give.",
        fields=("sensitivity_db",),
        sentence="told {sensitivity}, but the cone's own figures give {by_cone} (1 W, 1 m)",
        unit="dB",
        judge=_sensitivity,
        shows=_sensitivity_shown,
    ),
    Rule(
        name="Thiele/Small figures agree",
        description="Qes follows from fs, Mms, Re and Bl; Vas from fs, Mms and Sd.",
        fields=("driver.Qes", "driver.Vas_m3", "driver.Bl_tm", "driver.Mms_kg"),
        sentence="Qes {Qes} against {Qes_by_rest}, Vas {Vas} against {Vas_by_rest} from the rest",
        unit="%",
        judge=_thiele_small,
        shows=_thiele_small_shown,
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
        name="port and tuning",
        description="The port's size and the net volume give the tuning (Helmholtz).",
        fields=("tuning_hz",),
        sentence="told {tuning}, but the port and {net_volume} give {by_port}",
        unit="%",
        judge=_tuning,
        shows=_tuning_shown,
    ),
    Rule(
        name="below the tuning",
        description="Below its tuning a box falls by 24 dB an octave.",
        fields=("low_limit_hz",),
        sentence="a low limit of {low_limit} is far below the tuning of {tuning}",
        unit="%",
        judge=_below_tuning,
        shows=_below_tuning_shown,
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
