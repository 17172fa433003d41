"""How the coils of a box are wired, told from one cone's resistance and the total load."""

from __future__ import annotations

import numpy as np

from basswright.errors import InputError
from basswright.records.enclosure import Driver

#: Voice-coil resistance over nominal load (common practice, no source).
RE_SHARE = 0.875
#: How far that share may stray before the figures contradict each other.
_LOWEST_SHARE, _HIGHEST_SHARE = 0.60, 1.25


def wiring_factor(driver: Driver, load_ohm: float | None) -> float:
    """Return resistance of the whole box over that of one cone [-].

    Parameters
    ----------
    driver : Driver
        Number of cones, and one cone's resistance [ohm].
    load_ohm : float or None
        Total nominal load [ohm].

    Returns
    -------
    float
        NaN if it can't be told [-].

    Raises
    ------
    InputError
        No such wiring gives the load that the sheet states.

    Notes
    -----
    Cones are joined in equal rows: m in series, count / m rows in parallel, so that
    the factor is m^2 / count. The one whose resistance comes nearest to 0.875 of the load
    (common practice, no source) is taken.

    References
    ----------
    .. [1] Kirchhoff's laws, as in any handbook of circuits.
    """
    if driver.count == 1:
        return 1.0
    if driver.Re_ohm is None or load_ohm is None:
        return float("nan") if driver.Re_ohm is None else 1.0 / driver.count
    rows = [m for m in range(1, driver.count + 1) if driver.count % m == 0]
    factors = np.array([m * m / driver.count for m in rows])
    share = factors * driver.Re_ohm / load_ohm
    best = int(np.argmin(np.abs(np.log(share / RE_SHARE))))
    if not _LOWEST_SHARE <= share[best] <= _HIGHEST_SHARE:
        raise InputError(
            f"no wiring of {driver.count} cones of {driver.Re_ohm:g} ohm each gives that load",
            field="driver.Re_ohm, load_ohm",
            value=load_ohm,
            allowed=", ".join(f"near {factor * driver.Re_ohm / RE_SHARE:.2g}" for factor in factors)
            + " ohm",
        )
    return float(factors[best])
