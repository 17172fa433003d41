"""Third-octave bands of the bass and their names."""

from __future__ import annotations

from typing import Final

import numpy as np

#: Preferred third-octave centres, ISO 266 [Hz].
PREFERRED_HZ: Final = (10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0)


def nominal_hz(centre_hz: float) -> float:
    """Return the preferred name of a band by its centre: 39.8 Hz is the band of 40 Hz.

    A centre further than a sixth of an octave from every name keeps its own.

    References
    ----------
    ISO 266, preferred frequencies; IEC 61260-1, annex E, nominal midband frequencies.
    """
    apart = np.abs(np.log2(np.array(PREFERRED_HZ) / centre_hz))
    nearest = int(np.argmin(apart))
    return PREFERRED_HZ[nearest] if apart[nearest] < 1 / 6 else centre_hz
