"""How much current a cable may carry for good, and so the largest fuse before it."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.errors import InputError
from basswright.records.electrics import Cable
from basswright.supply.conductors import CLAD_CONDUCTIVITY_SHARE, area_m2
from basswright.supply.tables import rows

#: Insulation class [C] -> factor in an engine space of 50 C: 33 CFR 183.425 (0.85 at
#: 105 C read; the others from memory).
ENGINE_SPACE_SHARE: Final = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89}
#: Loaded conductors in one bundle -> factor (ABYC E-11, from memory).
_BUNDLE_SHARE: Final = ((3, 1.0), (4, 0.7), (7, 0.6), (25, 0.5))


def insulation_column_c(insulation_c: float) -> int:
    """Return the column of the table for an insulation: the next class not above it [°C].

    Parameters
    ----------
    insulation_c : float
        Temperature that the insulation stands for good [°C].

    Returns
    -------
    int
        60, 75, 80, 90, 105 or 125 [°C].

    Raises
    ------
    InputError
        Insulation below 60 °C.

    References
    ----------
    .. [1] 33 CFR 183.425, table 5 (columns by temperature rating of the insulation).
    """
    fitting = [column for column in ENGINE_SPACE_SHARE if column <= insulation_c]
    if not fitting:
        raise InputError(
            "insulation too weak", field="insulation_c", value=insulation_c, allowed="60 C or more"
        )
    return max(fitting)


def ampacity_a(cable: Cable, *, engine_space: bool = True, conductors: int = 1) -> float:
    """Return the current that a cable may carry continuously [A].

    Parameters
    ----------
    cable : Cable
        14 AWG or more; insulation of 60 °C or more.
    engine_space : bool
        Whether any of the run lies in the engine bay.
    conductors : int
        Loaded conductors in the same bundle; 1 or 2 run freely.

    Returns
    -------
    float
        Allowable current [A].

    Raises
    ------
    InputError
        The cable is thinner than the table's smallest, 14 AWG, by more than the tenth
        that other series differ.

    Notes
    -----
    The table is the only open one for low-voltage single conductors; there is none for car
    audio. Between its sizes current goes as a power of the cross-section; above 4/0 the
    figure of 4/0 stays, and a little below 14 AWG it falls with the cross-section.
    Copper-clad aluminium heats as much at sqrt(conductivity share) = 0.806 of the current,
    since the heat is I^2 R.

    References
    ----------
    .. [1] 33 CFR 183.425, Conductors: general, table 5 and its note on engine spaces
       (United States, boats).
    .. [2] ABYC E-11, AC and DC electrical systems on boats (bundles; from memory).
    """
    area_mm2 = area_m2(cable) * 1e6
    table = rows("ampacity")
    areas = np.array([float(row["area_mm2"]) for row in table])
    if area_mm2 < areas[0] * 0.65:
        raise InputError(
            "too thin for a supply cable", field="size", value=cable.size, allowed="14 AWG or more"
        )
    column = insulation_column_c(cable.insulation_c)
    currents = np.array([float(row[str(column)]) for row in table])
    current = float(np.exp(np.interp(np.log(area_mm2), np.log(areas), np.log(currents))))
    current *= min(1.0, area_mm2 / areas[0])
    if cable.material == "copper-clad-aluminium":
        current *= float(np.sqrt(CLAD_CONDUCTIVITY_SHARE))
    if engine_space:
        current *= ENGINE_SPACE_SHARE[column]
    return float(current * bundle_share(conductors))


def bundle_share(conductors: int) -> float:
    """Return the factor for loaded conductors that lie in one bundle [-].

    Parameters
    ----------
    conductors : int
        Loaded conductors in the bundle.

    Returns
    -------
    float
        1 up to three, 0.7 for 4 to 6, 0.6 for 7 to 24, 0.5 for 25 or more [-].

    References
    ----------
    .. [1] ABYC E-11, AC and DC electrical systems on boats (from memory).
    """
    fitting = [share for count, share in _BUNDLE_SHARE if conductors >= count]
    return min(fitting, default=1.0)
