"""The settings of a system, by its prediction or by what was measured in the car."""

from __future__ import annotations

import numpy as np

from basswright import tuning
from basswright.errors import InputError
from basswright.records.measurement import Measurement
from basswright.records.tuning import TuningSettings
from basswright.stages.system import System


def settings(
    system: System,
    *,
    measured: Measurement | None = None,
    front_distance_m: float | None = None,
    bands: int = 5,
) -> TuningSettings:
    """Return everything that is set on the day of fitting.

    Parameters
    ----------
    system : System
    measured : Measurement, optional
        Bass box alone at the ear; the equaliser is fitted to it in place of the
        prediction. What the box can still give is taken from the prediction.
    front_distance_m : float, optional
        Front speaker to ear [m]; with it the delay is known.
    bands : int
        Most equaliser bands there are.

    Raises
    ------
    InputError
        A measurement that is not usable, or that covers too little.
    """
    request = tuning.request_for(system.job, system.option, front_distance_m=front_distance_m)
    request = request.model_copy(update={"bands": bands})
    prediction = system.prediction
    frequency, level = prediction.frequency_hz, prediction.level_db
    headroom = prediction.loudest_db - level
    if measured is not None:
        if not measured.usable:
            reasons = "; ".join(p.text for p in measured.problems if p.severity == "unusable")
            raise InputError(f"nothing can be set by this recording: {reasons}")
        inside = (frequency >= measured.frequency_hz[0]) & (frequency <= measured.frequency_hz[-1])
        frequency, headroom = frequency[inside], headroom[inside]
        if frequency.size < 8:
            raise InputError(
                "the measurement shares too few frequencies with the prediction",
                field="frequency_hz",
                value=int(frequency.size),
                allowed="at least 8",
            )
        level = np.interp(np.log(frequency), np.log(measured.frequency_hz), measured.level_db)
    return tuning.settings(frequency, level, headroom_db=headroom, request=request)
