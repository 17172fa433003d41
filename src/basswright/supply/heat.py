"""What becomes of an amplifier's heat: the air that has to carry it away."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Density [kg/m3] and specific heat [J/(kg K)] of air at 20 C, sea level (handbook values).
AIR_KG_PER_M3: Final = 1.204
AIR_J_PER_KG_K: Final = 1006.0
#: Rise of the air that is accepted [K] (common practice, no source).
RISE_K: Final = 15.0
#: Heat given off by a case to still air [W/(m2 K)], convection and radiation together
#: (handbook range 8 to 12).
CASE_W_PER_M2_K: Final = 10.0


def cooling_air_m3_per_s(heat_w: ArrayLike, *, rise_k: float = RISE_K) -> NDArray[np.float64]:
    """Return the air flow that carries heat away with a given rise [m3/s].

    Parameters
    ----------
    heat_w : array_like
        Heat to be got rid of [W].
    rise_k : float
        How much warmer the air leaves than it comes, above 0 [K].

    Returns
    -------
    ndarray, shape of `heat_w`
        P / (rho c dT), air at 20 °C and sea level [m3/s].

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 1
       (energy balance of a stream) and the table of air's properties.
    """
    heat = np.asarray(heat_w, dtype=float)
    return np.asarray(heat / (AIR_KG_PER_M3 * AIR_J_PER_KG_K * rise_k))


def case_rise_k(heat_w: ArrayLike, surface_m2: ArrayLike) -> NDArray[np.float64]:
    """Return how much warmer than still air a case gets [K].

    Parameters
    ----------
    heat_w : array_like
        Heat to be got rid of [W].
    surface_m2 : array_like
        Free surface of the case, the side that it stands on left out, above 0 [m2].

    Returns
    -------
    ndarray, broadcast of both
        P / (h A), h = 10 W/(m2 K) [K]; a rough figure, within a quarter or so.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 1
       (Newton's law of cooling; h of free convection with radiation 8 to 12, from memory).
    """
    heat, surface = np.asarray(heat_w, dtype=float), np.asarray(surface_m2, dtype=float)
    return np.asarray(heat / (CASE_W_PER_M2_K * surface))
