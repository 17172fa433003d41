"""Rules on the sound of a box: efficiency, depth, volume, tuning and the cone's figures.

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


def _litres(value: float) -> str:
    return "(not told)" if np.isnan(value) else f"{1e3 * value:.1f} L"


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


def _expected_Qts(figures: BoxFigures) -> Floats:
    return np.asarray(figures.Qes * figures.Qms / (figures.Qes + figures.Qms), float)


def _told(value: float) -> str:
    return "(not told)" if np.isnan(value) else f"{value:.3g}"


def _thiele_small(figures: BoxFigures) -> Finding:
    motor = _ratio(figures.Qes, _expected_Qes(figures))
    spring = _ratio(figures.Vas_m3, _expected_Vas(figures))
    total = _ratio(figures.Qts, _expected_Qts(figures))
    return Finding(
        excess=100 * np.fmax(np.fmax(motor, spring), total),
        doubtful_from=20.0,
        contradiction_from=60.0,
    )


def _thiele_small_shown(figures: BoxFigures, i: int) -> dict[str, str]:
    return {
        "Qes": _told(figures.Qes[i]),
        "Qes_by_rest": _told(_expected_Qes(figures)[i]),
        "Qts": _told(figures.Qts[i]),
        "Qts_by_rest": _told(_expected_Qts(figures)[i]),
        "Vas": _litres(figures.Vas_m3[i]),
        "Vas_by_rest": _litres(_expected_Vas(figures)[i]),
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


SOUND_RULES: Final[tuple[Rule[BoxFigures], ...]] = (
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
        description="Qes follows from fs, Mms, Re, Bl; Qts from Qes, Qms; Vas from fs, Mms, Sd.",
        fields=("driver.Qes", "driver.Vas_m3", "driver.Bl_tm", "driver.Mms_kg"),
        sentence="Qes {Qes} against {Qes_by_rest}, Qts {Qts} against {Qts_by_rest}, "
        "Vas {Vas} against {Vas_by_rest} from the rest",
        unit="%",
        judge=_thiele_small,
        shows=_thiele_small_shown,
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
)
