"""How each published figure follows from the unknowns, and how far it can be trusted.

Thiele and Small's relations are products of powers, so that in logarithms every figure
here is a sum of unknowns: one row of a matrix (R. H. Small, JAES 20(5), 1972, pp. 383-395).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from basswright.sound.air import BULK_PA, C_M_PER_S, ONE_WATT_LEVEL_DB, RHO_KG_PER_M3
from basswright.sound.models import Array
from basswright.sound.priors import AT, TYPICAL_QMS, UNKNOWNS
from basswright.sound.sheet import Sheets

#: Standard deviation of the logarithm of a published figure about the truth: what a
#: sample strays from its sheet, rounding included (from memory, common practice).
TRUST: Final = {
    "Sd_m2": 0.02,
    "Mms_kg": 0.025,
    "fs_hz": 0.035,
    "Qes": 0.05,
    "Qms": 0.12,
    "Vas_m3": 0.07,
    "Re_ohm": 0.02,
    "Bl_tm": 0.025,
    "Xmax_m": 0.06,
    "Le_henry": 0.06,
    "net_m3": 0.03,
    "tuning_hz": 0.03,
    "vent_m2": 0.03,
    "port": 0.05,
    "radiator_mass_kg": 0.06,
    "radiator_Xmax_m": 0.06,
    "sensitivity_db": 0.13,
    "low_limit_hz": 0.045,
    "power_w": 0.25,
}
_DB: Final = np.log(10) / 10


@dataclass(frozen=True, kw_only=True)
class Linear:
    """One published figure of n boxes: value = row . unknowns, with noise.

    Attributes
    ----------
    row : ndarray, shape (p,)
        Exponent of each unknown [-].
    value : ndarray, shape (n,)
        Natural logarithm of the figure, NaN where it is not known [-].
    spread : ndarray, shape (n,)
        Standard deviation of that logarithm about the truth [-].
    """

    row: Array
    value: Array
    spread: Array


def linear_figures(sheets: Sheets, mean: Array) -> list[Linear]:
    """Return every published figure that is a product of powers of the unknowns.

    Parameters
    ----------
    sheets : Sheets
        n boxes.
    mean : ndarray, shape (n, unknowns)
        Prior mean of the logarithms [-]; only the radiator's share of its own stiffness in
        the tuning is taken from it.

    Returns
    -------
    list of Linear
        NaN where a box's sheet is silent.

    Notes
    -----
    Bl^2 = ws Mms Re / Qes; Vas = rho c^2 Sd / (ws^2 m'), m' the moving mass over the area;
    eta0 = rho Sd ws / (2 pi c Qes m'); tuning of a port c/(2 pi) sqrt(S / (V L)), of radiators
    wb^2 (1 - ratio^2) Mmp V = rho c^2 Sp^2. How far each figure is trusted is from memory,
    common practice.

    References
    ----------
    .. [1] R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5), 1972,
       pp. 383-395.
    .. [2] R. H. Small, "Vented-box loudspeaker systems, part I", JAES 21(5), 1973,
       pp. 363-372.
    .. [3] R. H. Small, "Passive-radiator loudspeaker systems, part I: Analysis", JAES 22(8),
       1974, pp. 592-601.
    """
    log = {
        name: np.log(getattr(sheets, name))
        for name in Sheets.__dataclass_fields__
        if name not in ("kinds", "sensitivity_db", "shell_spread", "power_reserve")
    }
    per_cone = {"Sd_m2": "cone area", "fs_hz": "fs", "Qes": "Qes", "Qms": "Qms", "Xmax_m": "Xmax"}
    found = [_figure({unknown: 1.0}, log[name], TRUST[name]) for name, unknown in per_cone.items()]
    found += [
        _total_q(sheets),
        _figure({"rear share": 1.0, "net volume": 1.0}, log["rear_m3"], TRUST["net_m3"]),
        _figure({"rear tuning": 1.0}, log["rear_tuning_hz"], TRUST["tuning_hz"]),
        _figure({"cone area": 1.0, "areal mass": 1.0}, log["Mms_kg"], TRUST["Mms_kg"]),
        _figure({"Re": 1.0}, log["Re_ohm"] + log["wiring"], TRUST["Re_ohm"]),
        _vas(log),
        _force_factor(log),
        _figure({"coil time": 1.0, "Re": 1.0}, log["Le_henry"] + log["wiring"], TRUST["Le_henry"]),
        _figure({"net volume": 1.0}, log["net_m3"], TRUST["net_m3"]),
        _figure(
            {"net volume": 1.0},
            np.where(np.isnan(log["net_m3"]), log["shell_m3"], np.nan),
            sheets.shell_spread,
        ),
        _figure({"tuning": 1.0}, log["tuning_hz"], TRUST["tuning_hz"]),
        _figure(
            {"opening share": 1.0, "cone area": 1.0},
            log["vent_m2"] - log["count"],
            TRUST["vent_m2"],
        ),
        _port_tuning(sheets, log),
        _radiator_mass(log, mean),
        _figure({"radiator excursion": 1.0}, log["radiator_Xmax_m"], TRUST["radiator_Xmax_m"]),
        _sensitivity(sheets, log),
        _figure({"heat": 1.0}, log["power_w"] + sheets.power_reserve, TRUST["power_w"]),
        *_habits(sheets, log),
    ]
    return found


def _figure(terms: dict[str, float], value: Array, spread: float | Array) -> Linear:
    row = np.zeros(len(UNKNOWNS))
    for name, factor in terms.items():
        row[AT[name]] = factor
    return Linear(row=row, value=value, spread=np.broadcast_to(spread, value.shape))


def _habits(sheets: Sheets, log: dict[str, Array]) -> list[Linear]:
    """What makers do: half of Small's least vent area, radiators that outreach the cone.

    Area 0.4 fb Vd against his 0.8 fb Vd (1973, part II; number from memory), and 1.55
    times the excursion of the cone: common practice, no source.
    """
    ported = (sheets.kinds == "vented") | (sheets.kinds == "bandpass")
    area = np.where(ported, np.log(0.4), np.nan)
    reach = np.where(sheets.kinds == "passive-radiator", np.log(1.55), np.nan)
    return [
        _figure({"opening share": 1.0, "tuning": -1.0, "Xmax": -1.0}, area, 0.30),
        _figure({"radiator excursion": 1.0, "Xmax": -1.0}, reach, 0.15),
    ]


def _total_q(sheets: Sheets) -> Linear:
    """Qes from Qts where only that is told: 1/Qts = 1/Qes + 1/Qms, Qms told or typical."""
    Qms = np.where(np.isnan(sheets.Qms), TYPICAL_QMS, sheets.Qms)
    used = np.isnan(sheets.Qes) & (sheets.Qts < Qms)
    Qes = 1 / (1 / np.where(used, sheets.Qts, 0.5 * Qms) - 1 / Qms)
    return _figure({"Qes": 1.0}, np.where(used, np.log(Qes), np.nan), TRUST["Qes"] + 0.03)


def _vas(log: dict[str, Array]) -> Linear:
    """Vas = rho c^2 Sd / ((2 pi fs)^2 m'), with the areal mass m' = Mms / Sd."""
    constant = np.log(BULK_PA / (2 * np.pi) ** 2)
    terms = {"cone area": 1.0, "fs": -2.0, "areal mass": -1.0}
    return _figure(terms, log["Vas_m3"] - constant, TRUST["Vas_m3"])


def _force_factor(log: dict[str, Array]) -> Linear:
    """Bl^2 = 2 pi fs Mms Re / Qes, all of one cone."""
    terms = {"fs": 0.5, "cone area": 0.5, "areal mass": 0.5, "Re": 0.5, "Qes": -0.5}
    value = log["Bl_tm"] - 0.5 * np.log(2 * np.pi) + 0.5 * log["wiring"]
    return _figure(terms, value, TRUST["Bl_tm"])


def _port_tuning(sheets: Sheets, log: dict[str, Array]) -> Linear:
    """Tuning from the port's own size, where the sheet does not state it."""
    apart = log["vent_m2"] - log["vent_length_m"]
    value = np.log(C_M_PER_S / (2 * np.pi)) + 0.5 * apart
    used = (sheets.kinds == "vented") & np.isnan(sheets.tuning_hz)
    terms = {"tuning": 1.0, "net volume": 0.5}
    return _figure(terms, np.where(used, value, np.nan), TRUST["port"])


def _radiator_mass(log: dict[str, Array], mean: Array) -> Linear:
    """(2 pi fb)^2 (1 - ratio^2) Mmp V = rho c^2 Sp^2 / radiators, Sp of all together."""
    ratio = np.exp(mean[:, AT["radiator ratio"]])
    rest = np.log((2 * np.pi) ** 2 / BULK_PA * (1 - ratio**2))
    value = 2 * log["count"] - log["radiator_count"] - log["radiator_mass_kg"] - rest
    terms = {"tuning": 2.0, "net volume": 1.0, "opening share": -2.0, "cone area": -2.0}
    spread = np.hypot(TRUST["radiator_mass_kg"], 0.05)
    return _figure(terms, value, float(spread))


def _sensitivity(sheets: Sheets, log: dict[str, Array]) -> Linear:
    """Reference efficiency, eta0 = rho Sd 2 pi fs / (2 pi c Qes m') per cone (Small 1972)."""
    constant = np.log(RHO_KG_PER_M3 / C_M_PER_S)
    direct = np.where(sheets.kinds == "bandpass", np.nan, sheets.sensitivity_db)
    value = (direct - ONE_WATT_LEVEL_DB) * _DB - constant - log["count"]
    terms = {"cone area": 1.0, "fs": 1.0, "Qes": -1.0, "areal mass": -1.0}
    return _figure(terms, value, TRUST["sensitivity_db"])
