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


#: Share of the adults' weekly time that children and others at risk have: ITU-T H.870
#: mode 2 takes 75 dB(A) for 40 h, 5 dB less than mode 1.
CHILDREN_SHARE: Final = 10.0**-0.5

#: Highest peak that is never to be passed [dB]: children and adults. World Health
#: Organization, Guidelines for community noise, 1999, table 4.1.
PEAK_CHILDREN_DB, PEAK_ADULTS_DB = 120.0, 140.0

#: Peak of a sine above its RMS level [dB].
SINE_CREST_DB: Final = 3.0103


def loudest_dba(frequency_hz: ArrayLike, level_db: ArrayLike) -> float:
    """What does a sound level meter show of the loudest of these tones?

    Parameters
    ----------
    frequency_hz, level_db : array_like, shape (n,)
        Tones and their unweighted levels [Hz, dB].

    Returns
    -------
    float
        The highest A-weighted level [dB(A)].

    Notes
    -----
    One tone at a time: an amplifier that is full with one has nothing left for a second.

    References
    ----------
    IEC 61672-1, A-weighting.
    """
    from basswright.sound.loudness import a_weighting_db

    level = np.asarray(level_db, dtype=np.float64)
    return float(np.max(level + a_weighting_db(frequency_hz)))


def highest_peak_db(level_db: ArrayLike) -> float:
    """Return the peak of the loudest of some sines [dB], unweighted."""
    return float(np.max(np.asarray(level_db, dtype=np.float64))) + SINE_CREST_DB
