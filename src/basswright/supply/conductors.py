"""How much resistance a cable has: AWG, SAE and mm2 sizes, copper and copper-clad."""

from __future__ import annotations

import re
from typing import Final

from basswright.errors import InputError
from basswright.records.electrics import Cable, ConductorMaterial
from basswright.supply.tables import rows

#: 100 % IACS at 20 C [ohm m] (NBS Handbook 100; IEC 60028): 1/58 ohm mm2/m.
COPPER_OHM_M: Final = 1e-6 / 58
#: Temperature coefficient of copper at 20 C [1/K].
COPPER_PER_K: Final = 0.00393
ALUMINIUM_PER_K: Final = 0.00403
#: A stranded conductor is longer than its cable by about this much.
STRANDING_SHARE: Final = 1.02
#: Conductivity of copper-clad aluminium with 10 % copper by volume over copper:
#: 0.10 + 0.90 * 0.61, the two metals side by side (class 10A of ASTM B566).
CLAD_CONDUCTIVITY_SHARE: Final = 0.10 + 0.90 * 0.61
#: Tinned over plain, from the two columns of IEC 60228 (1.020 to 1.030).
TINNED_SHARE: Final = 1.03

_CIRCULAR_MIL_M2: Final = 5.067074790975e-10
#: SAE conductor sizes [circular mil]: 3 to 11 % less copper than AWG of the same number
#: (SAE J1127, from a cable trade glossary).
_SAE_CMIL: Final = {
    "6": 24538.0,
    "4": 37360.0,
    "2": 62450.0,
    "1/0": 98980.0,
    "2/0": 125100.0,
    "4/0": 205500.0,
}
#: SAE J1128 sizes below those [mm2] (from memory).
_SAE_SMALL_MM2: Final = {"14": 1.85, "12": 2.91, "10": 4.65, "8": 7.23}


def awg_number(size: str) -> int:
    """Return n of an AWG size; "1/0" is 0, "4/0" is -3.

    Parameters
    ----------
    size : str
        "40" to "1", "1/0" to "4/0".

    Returns
    -------
    int
        The gauge number as the formula of the series counts it [-].

    Raises
    ------
    InputError
        Another text.

    References
    ----------
    .. [1] ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes of
       solid round wires used as electrical conductors.
    """
    ought = re.fullmatch(r"([1-4])/0", size)
    if ought:
        return 1 - int(ought[1])
    if re.fullmatch(r"\d{1,2}", size) and int(size) <= 40:
        return int(size)
    raise InputError("not an AWG size", field="size", value=size, allowed="40 to 1, 1/0 to 4/0")


def awg_diameter_m(size: str) -> float:
    """Return the diameter of a solid AWG conductor [m].

    Parameters
    ----------
    size : str
        "40" to "1", "1/0" to "4/0".

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    InputError
        Not an AWG size.

    Notes
    -----
    d = 0.127 mm x 92^((36 - n)/39): 36 AWG is 0.005 in, 4/0 is 0.460 in, and 39 equal steps
    lie between them.

    References
    ----------
    .. [1] ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes of
       solid round wires used as electrical conductors.
    """
    return float(0.127e-3 * 92.0 ** ((36 - awg_number(size)) / 39))


def area_m2(cable: Cable) -> float:
    """Return the metal cross-section of a cable [m2].

    Parameters
    ----------
    cable : Cable

    Returns
    -------
    float
        Cross-section [m2]. For mm2 sizes this is the copper that the resistance of IEC 60228
        stands for, which is less than the nominal size (22.1 mm2 for 25).

    Raises
    ------
    InputError
        The size does not exist in its series.

    References
    ----------
    .. [1] ASTM B258 (AWG), SAE J1127 and J1128 (SAE sizes, from memory), IEC 60228, class 5
       (mm2).
    """
    if cable.series == "AWG":
        return float(3.141592653589793 / 4 * awg_diameter_m(cable.size) ** 2)
    if cable.series == "SAE":
        return _sae_area_m2(cable.size)
    return COPPER_OHM_M / _class5_ohm_per_m(cable.size, "plain")


def resistance_20c_ohm_per_m(cable: Cable) -> float:
    """Return the resistance of one metre of a cable at 20 °C [ohm/m].

    Parameters
    ----------
    cable : Cable

    Returns
    -------
    float
        Resistance of one conductor [ohm/m].

    Raises
    ------
    InputError
        The size does not exist in its series.

    Notes
    -----
    AWG and SAE sizes: rho k / A, rho = 1/58 ohm mm2/m, k = 1.02 for stranding (common
    practice), 1.03 for tin. Metric sizes: the standard's largest resistance. Copper-clad
    aluminium conducts 0.10 + 0.90 x 0.61 = 0.649 as well, both metals side by side.

    References
    ----------
    .. [1] IEC 60028, International standard of resistance for copper, 1925 (1/58 ohm mm2/m).
    .. [2] IEC 60228, Conductors of insulated cables, class 5.
    .. [3] ASTM B566, Copper-clad aluminum wire (class 10A, 10 % copper by volume).
    """
    if cable.series == "mm2":
        column = "tinned" if cable.material == "tinned-copper" else "plain"
        copper = _class5_ohm_per_m(cable.size, column)
    else:
        copper = COPPER_OHM_M * STRANDING_SHARE / area_m2(cable)
        copper *= TINNED_SHARE if cable.material == "tinned-copper" else 1.0
    if cable.material == "copper-clad-aluminium":
        return copper / CLAD_CONDUCTIVITY_SHARE
    return copper


def resistance_ohm_per_m(cable: Cable, temperature_c: float) -> float:
    """Return the resistance of one metre of a cable at a temperature [ohm/m].

    Parameters
    ----------
    cable : Cable
    temperature_c : float
        Of the conductor, some -40 to 125 [°C].

    Returns
    -------
    float
        R(T) = R20 (1 + alpha (T - 20)), alpha 0.00393 /K for copper [ohm/m].

    Raises
    ------
    InputError
        The size does not exist in its series.

    Notes
    -----
    Of copper-clad aluminium alpha is the mean of both metals, weighted by what each
    conducts (aluminium 0.00403 /K).

    References
    ----------
    .. [1] IEC 60028, International standard of resistance for copper, 1925 (0.00393 /K).
    .. [2] IEC 60889, Hard-drawn aluminium wire for overhead line conductors (0.00403 /K; from
       memory).
    """
    alpha = _temperature_coefficient(cable.material)
    return resistance_20c_ohm_per_m(cable) * (1 + alpha * (temperature_c - 20.0))


def _temperature_coefficient(material: ConductorMaterial) -> float:
    if material != "copper-clad-aluminium":
        return COPPER_PER_K
    copper = 0.10 / CLAD_CONDUCTIVITY_SHARE
    return copper * COPPER_PER_K + (1 - copper) * ALUMINIUM_PER_K


def _sae_area_m2(size: str) -> float:
    if size in _SAE_CMIL:
        return _SAE_CMIL[size] * _CIRCULAR_MIL_M2
    if size in _SAE_SMALL_MM2:
        return _SAE_SMALL_MM2[size] * 1e-6
    raise InputError(
        "not an SAE size that is known here",
        field="size",
        value=size,
        allowed=", ".join([*_SAE_SMALL_MM2, *_SAE_CMIL]),
    )


def _class5_ohm_per_m(size: str, column: str) -> float:
    for row in rows("class5"):
        if float(row["size_mm2"]) == _number(size):
            return float(row[column]) * 1e-3
    sizes = ", ".join(row["size_mm2"] for row in rows("class5"))
    raise InputError("not a metric size that is known", field="size", value=size, allowed=sizes)


def _number(size: str) -> float:
    try:
        return float(size)
    except ValueError:
        return float("nan")
