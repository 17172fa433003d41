"""How much an alternator gives at an engine speed."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Alternator turns for each turn of the crankshaft (cars 2.2 to 3.0, from memory).
PULLEY_RATIO: Final = 2.5
#: Engine speed at idle [1/min] (common practice).
IDLE_RPM: Final = 750.0
#: Alternator speed at which the rated output is given: ISO 8854 [1/min].
RATED_RPM: Final = 6000.0
#: Alternator speed at which a 12 V alternator begins to give current [1/min] (from memory).
CUT_IN_RPM: Final = 1000.0


def output_a(
    alternator_rpm: ArrayLike, *, rated_a: float, idle_a: float, idle_rpm: float
) -> NDArray[np.float64]:
    """Return the greatest current at an alternator speed [A].

    Parameters
    ----------
    alternator_rpm : array_like
        Speed of the alternator's own shaft, 0 or more [1/min].
    rated_a, idle_a : float
        Output at 6000 1/min and at `idle_rpm`, both above 0 [A].
    idle_rpm : float
        Alternator speed at which the output is `idle_a`, above the cut-in speed of
        1000 1/min [1/min].

    Returns
    -------
    ndarray, shape of `alternator_rpm`
        Greatest current; 0 at and below the cut-in speed [A].

    Notes
    -----
    I(n) = A (1 - exp(-(n - n0)/k)), n0 the cut-in speed, A and k such that the curve passes
    through both outputs. Beyond 6000 1/min it runs on towards A. An idle output of the
    rated one or more counts as 0.999 of it. The shape of the curve is common practice, no
    source; the two points are those of the standard's label.

    References
    ----------
    .. [1] ISO 8854, Road vehicles, Alternators with regulators, Test methods and general
       requirements (rated output at 6000 1/min and output at idle; from memory).
    """
    speed = np.maximum(np.asarray(alternator_rpm, dtype=float) - CUT_IN_RPM, 0.0)
    share = min(idle_a / rated_a, 0.999)
    low, high = idle_rpm - CUT_IN_RPM, RATED_RPM - CUT_IN_RPM
    constant = -low / np.log1p(-share)
    for _ in range(40):
        constant = -low / np.log1p(-share * -np.expm1(-high / constant))
    top = rated_a / -np.expm1(-high / constant)
    return np.asarray(top * -np.expm1(-speed / constant))


def limit_a(engine_rpm: ArrayLike, *, rated_a: float, idle_a: float) -> NDArray[np.float64]:
    """Return what a car's alternator can give at an engine speed [A].

    Parameters
    ----------
    engine_rpm : array_like
        Speed of the crankshaft, 0 or more [1/min].
    rated_a, idle_a : float
        Output at 6000 alternator 1/min and at engine idle, both above 0 [A].

    Returns
    -------
    ndarray, shape of `engine_rpm`
        Greatest current [A].

    Notes
    -----
    :func:`output_a` at 2.5 times the engine speed, idle at 750 1/min (common practice).

    References
    ----------
    .. [1] ISO 8854, Road vehicles, Alternators with regulators (from memory).
    """
    return output_a(
        np.asarray(engine_rpm, dtype=float) * PULLEY_RATIO,
        rated_a=rated_a,
        idle_a=idle_a,
        idle_rpm=IDLE_RPM * PULLEY_RATIO,
    )
