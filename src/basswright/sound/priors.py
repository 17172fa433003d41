"""What a box is likely to be before its data sheet is read.

Every figure here is from memory, common practice, no source: good enough for where a
search starts, never for a verdict. Each unknown is the natural logarithm of a quantity,
normally distributed.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.sound.models import Array
from basswright.sound.sheet import Sheets

#: The unknowns of a box, in the order of the columns of every state vector.
UNKNOWNS: Final = (
    "cone area",  # of one cone, m2
    "areal mass",  # moving mass over area, kg/m2
    "fs",  # Hz
    "Qms",
    "Qes",
    "Re",  # whole box, ohm
    "Xmax",  # m
    "coil time",  # inductance at 1 kHz over Re, s
    "coil exponent",
    "net volume",  # both chambers, m3
    "tuning",  # Hz; the front chamber of a bandpass box
    "QL",
    "opening share",  # area of ports or radiators over that of all cones
    "radiator ratio",  # radiator resonance over tuning
    "radiator Q",
    "radiator excursion",  # m
    "rear share",  # rear chamber over net volume, bandpass
    "rear tuning",  # Hz, bandpass
    "heat",  # W, whole box
    "coil seconds",  # thermal time constant
    "magnet seconds",
)
AT: Final = {name: column for column, name in enumerate(UNKNOWNS)}

#: Standard deviation of the logarithm, before any figure is known.
SPREAD: Final = {
    "cone area": 0.05,
    "areal mass": 0.22,
    "fs": 0.14,
    "Qms": 0.30,
    "Qes": 0.22,
    "Re": 0.045,
    "Xmax": 0.22,
    "coil time": 0.28,
    "coil exponent": 0.06,
    "net volume": 0.30,
    "tuning": 0.12,
    "QL": 0.30,
    "opening share": 0.40,
    "radiator ratio": 0.18,
    "radiator Q": 0.35,
    "radiator excursion": 0.25,
    "rear share": 0.12,
    "rear tuning": 0.15,
    "heat": 0.45,
    "coil seconds": 0.45,
    "magnet seconds": 0.45,
}

TYPICAL_QMS: Final = 6.0
#: Share of the nominal diameter over which a cone acts as a piston.
_PISTON_SHARE: Final = 0.835
#: Net volume per cone for a 300 mm cone, by kind [m3]; grows with diameter to the 2.1.
_VOLUME_300_MM: Final = {
    "closed": 0.030,
    "vented": 0.052,
    "passive-radiator": 0.040,
    "bandpass": 0.065,
}
_QES: Final = {"closed": 0.64, "vented": 0.53, "passive-radiator": 0.54, "bandpass": 0.55}
_OPENING_SHARE: Final = {
    "closed": 0.17,
    "vented": 0.17,
    "passive-radiator": 1.4,
    "bandpass": 0.22,
}


def prior(sheets: Sheets) -> tuple[Array, Array]:
    """Return mean and standard deviation of each unknown before the sheet is read.

    Parameters
    ----------
    sheets : Sheets
        n boxes; kind, size, number of cones and load are read.

    Returns
    -------
    mean, spread : ndarray, shape (n, unknowns)
        Of the natural logarithms [-].

    Notes
    -----
    Centres go with the nominal diameter over 300 mm by powers. All of them are from memory,
    common practice, no source.
    """
    n = len(sheets.kinds)
    mean = np.zeros((n, len(UNKNOWNS)))
    spread = np.tile([SPREAD[name] for name in UNKNOWNS], (n, 1))
    size = sheets.size_m / 0.30
    centre: dict[str, float | Array] = {
        "cone area": np.pi / 4 * (_PISTON_SHARE * sheets.size_m) ** 2,
        "areal mass": 4.0,
        "fs": 30.0 * size**-0.5,
        "Qms": TYPICAL_QMS,
        "Qes": _by_kind(_QES, sheets),
        "Re": np.where(np.isnan(sheets.load_ohm), 2.3, 0.875 * sheets.load_ohm),
        "Xmax": 14e-3 * size**0.75,
        "coil time": 0.55e-3,
        "coil exponent": 0.90,
        "net volume": _by_kind(_VOLUME_300_MM, sheets) * sheets.count * size**2.1,
        "tuning": np.where(sheets.kinds == "bandpass", 56.0, 36.0),
        "QL": np.where(sheets.kinds == "closed", 100.0, 9.0),
        "opening share": _by_kind(_OPENING_SHARE, sheets),
        "radiator ratio": 0.45,
        "radiator Q": 9.0,
        "radiator excursion": 22e-3 * size**0.75,
        "rear share": 0.52,
        "rear tuning": 32.0,
        "heat": 300.0 * sheets.count * size**2,
        "coil seconds": 6.0,
        "magnet seconds": 1200.0,
    }
    for name, value in centre.items():
        mean[:, AT[name]] = np.log(value)
    spread[np.isnan(sheets.load_ohm), AT["Re"]] = 0.45
    spread[sheets.kinds == "closed", AT["QL"]] = 0.80
    return mean, spread


def _by_kind(table: dict[str, float], sheets: Sheets) -> Array:
    return np.array([table[kind] for kind in sheets.kinds])
