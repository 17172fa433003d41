"""How long is how loud safe for the ears?"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Levels of the table on the customer sheet [dB(A)].
TABLE_DBA: Final = (80.0, 85.0, 88.0, 91.0, 94.0, 97.0, 100.0, 105.0)


def niosh_daily_s(level_dba: ArrayLike) -> NDArray[np.float64]:
    """How long a day at this level is the recommended limit at work?

    Parameters
    ----------
    level_dba : array_like
        A-weighted level [dB(A)].

    Returns
    -------
    ndarray
        Duration [s], of the same shape. Not capped at a day; 80 dB(A) gives 25.4 h.

    Notes
    -----
    T = 8 h / 2^((L - 85) / 3).

    References
    ----------
    NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure, Publication
    98-126, 1998, section 1.1 and table 1-1.
    """
    level = np.asarray(level_dba, dtype=np.float64)
    return 8.0 * 3600.0 / 2.0 ** ((level - 85.0) / 3.0)


def who_weekly_s(level_dba: ArrayLike) -> NDArray[np.float64]:
    """How long a week of music at this level is within the adult allowance?

    Parameters
    ----------
    level_dba : array_like
        A-weighted level [dB(A)].

    Returns
    -------
    ndarray
        Duration [s], of the same shape.

    Notes
    -----
    Equal energy: 40 h at 80 dB(A), which is 1.6 Pa2 h in seven days.

    References
    ----------
    Recommendation ITU-T H.870, Guidelines for safe listening devices and systems
    (with the World Health Organization), mode 1.
    """
    level = np.asarray(level_dba, dtype=np.float64)
    return 40.0 * 3600.0 / 10.0 ** ((level - 80.0) / 10.0)


def a_weighting_db(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """What does A-weighting add to a level at this frequency?

    Parameters
    ----------
    frequency_hz : array_like
        Frequency [Hz], above 0.

    Returns
    -------
    ndarray
        Weighting [dB], 0 at 1 kHz.

    References
    ----------
    IEC 61672-1:2013, annex E, with pole frequencies 20.6, 107.7, 737.9 and 12194 Hz.
    """
    squared = np.square(np.asarray(frequency_hz, dtype=np.float64))
    return 20.0 * np.log10(_a_response(squared) / _a_response(np.float64(1e6)))


def _a_response(squared: NDArray[np.float64] | np.float64) -> NDArray[np.float64]:
    low, lower_mid, upper_mid, high = 20.598997, 107.65265, 737.86223, 12194.217
    below = (squared + low**2) * np.sqrt((squared + lower_mid**2) * (squared + upper_mid**2))
    return np.asarray(high**2 * squared**2 / (below * (squared + high**2)), dtype=np.float64)
