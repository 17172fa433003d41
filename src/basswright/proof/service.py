"""What has changed in this car since it was measured?"""

from __future__ import annotations

import numpy as np

from basswright.errors import InputError
from basswright.proof.compare import compare
from basswright.proof.likelihood import Evidence
from basswright.proof.plant import Plant
from basswright.records.measurement import Measurement, Proof
from basswright.records.system import Prediction

#: Level in a car that was measured twice, 90 %: microphone, its place, temperature.
_REPEAT_DB = 2.0


def compare_with_earlier(
    now: Measurement,
    earlier: Measurement,
    *,
    plant: Plant | None = None,
    evidence: Evidence | None = None,
) -> Proof:
    """Compare a car with its own earlier measurement.

    What was measured then takes the place of the prediction, with a band of +-2 dB for
    doing it again (from memory). A fault shows far more plainly this way, for the cabin
    no longer has to be guessed.

    Parameters
    ----------
    now, earlier : Measurement
        Bass box alone at the same place.
    plant : Plant, optional
        Model of what was fitted, for the causes.
    evidence : Evidence, optional
        Further readings of today.

    Returns
    -------
    Proof
        `kept` means that no third-octave fell by more than the band.

    Raises
    ------
    InputError
        When one level is absolute and the other is not.
    """
    if now.absolute != earlier.absolute:
        raise InputError("absolute and relative levels are mixed", item="measurement")
    return compare(
        now, _as_prediction(earlier), plant=plant, evidence=evidence, promised_hz=(20.0, 80.0)
    )


def _as_prediction(earlier: Measurement) -> Prediction:
    level, none = earlier.level_db, np.zeros_like(earlier.level_db)
    low, high = level - _REPEAT_DB, level + _REPEAT_DB
    end = float(earlier.frequency_hz[0])
    return Prediction(
        frequency_hz=earlier.frequency_hz,
        level_db=level,
        level_low_db=low,
        level_high_db=high,
        loudest_db=level,
        loudest_low_db=low,
        loudest_high_db=high,
        limit_index=np.zeros(level.size, dtype=np.intp),
        limits=("not known",),
        excursion_m=none,
        port_speed_m_per_s=none,
        impedance_ohm=none.astype(np.complex128),
        group_delay_s=none,
        cabin_gain_db=none,
        cabin_model="measured earlier in this car",
        low_limit_3db_hz=(end, end, end),
        low_limit_10db_hz=(end, end, end),
    )
