"""How much louder one level sounds than another, as heard.

Ten decibels double the loudness at 1 kHz; a bass tone needs far fewer (about five at
20 Hz, six at 50 Hz), because its equal-loudness contours lie closer together.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError

FloatArray = NDArray[np.float64]
Edition = Literal[2003, 2023]

#: Table 1 of both editions, one row a preferred third-octave frequency; the file says
#: what its columns hold.
_ROWS: Final = np.loadtxt(
    str(files("basswright.sound") / "equal_loudness.csv"), delimiter=",", comments="#"
)
#: Preferred one-third-octave frequencies of the contours [Hz].
CONTOUR_FREQUENCY_HZ: Final[FloatArray] = _ROWS[:, 0]
_COLUMNS: Final = {2003: slice(1, 4), 2023: slice(4, 7)}

#: Least loudness level that is told apart from silence [phon]; below it the
#: loudness is held, so that ratios stay finite.
QUIETEST_PHON: Final = 3.0


def contour_db(
    loudness_phon: ArrayLike, frequency_hz: ArrayLike, *, edition: Edition = 2023
) -> FloatArray:
    """Which level a pure tone needs to sound as loud as this at that frequency [dB].

    Parameters
    ----------
    loudness_phon : array_like
        Loudness level [phon].
    frequency_hz : array_like
        20 Hz to 12.5 kHz; broadcast against `loudness_phon`. Between the tabulated
        frequencies the three parameters are interpolated over log frequency [Hz].
    edition : {2003, 2023}
        Edition of the standard.

    Returns
    -------
    ndarray
        Sound pressure level [dB re 20 µPa].

    Raises
    ------
    InputError
        Frequency outside the contours, or a value that is not finite.

    Notes
    -----
    The standard vouches for 20 to 90 phon (80 above 4 kHz), single tones, free field,
    young listeners with normal hearing. Beyond 90 phon the formula is carried on; see
    :func:`is_extrapolated`.

    References
    ----------
    .. [1] ISO 226:2003 and ISO 226:2023, Acoustics, Normal equal-loudness-level contours,
       clause 4.1, formula (1) and table 1.
    """
    exponent, transfer, threshold = _parameters(frequency_hz, edition)
    phon_n = _finite(loudness_phon, "loudness_phon")
    heard = _threshold_term(exponent, transfer, threshold, edition)
    gain, offset = _growth(exponent, edition)
    per_phon = 0.025 if edition == 2003 else 0.03
    total = np.maximum(gain * (10 ** (per_phon * phon_n) - offset) + heard, heard * 1e-3)
    return np.asarray(10 / exponent * np.log10(total) - transfer + _reference_db(edition))


def phon(level_db: ArrayLike, frequency_hz: ArrayLike, *, edition: Edition = 2023) -> FloatArray:
    """How loud a pure tone of this level sounds [phon].

    Parameters
    ----------
    level_db : array_like
        Sound pressure level [dB re 20 µPa].
    frequency_hz : array_like
        20 Hz to 12.5 kHz; broadcast against `level_db` [Hz].
    edition : {2003, 2023}
        Edition of the standard.

    Returns
    -------
    ndarray
        Loudness level [phon], never less than :data:`QUIETEST_PHON`, below which a
        tone is taken as not heard.

    Raises
    ------
    InputError
        Frequency outside the contours, or a value that is not finite.

    References
    ----------
    .. [1] ISO 226:2003 and ISO 226:2023, formula (1) solved for the loudness level.
    """
    exponent, transfer, threshold = _parameters(frequency_hz, edition)
    level = _finite(level_db, "level_db")
    heard = _threshold_term(exponent, transfer, threshold, edition)
    gain, offset = _growth(exponent, edition)
    total = 10 ** (exponent * (level + transfer - _reference_db(edition)) / 10)
    per_phon = 0.025 if edition == 2003 else 0.03
    quietest = 10 ** (per_phon * QUIETEST_PHON)
    return np.asarray(np.log10(np.maximum((total - heard) / gain + offset, quietest)) / per_phon)


def sone(loudness_phon: ArrayLike) -> FloatArray:
    """How loud a loudness level is: twice the sones sound twice as loud [sone].

    Parameters
    ----------
    loudness_phon : array_like
        Loudness level [phon]; held at :data:`QUIETEST_PHON` from below.

    Returns
    -------
    ndarray
        Loudness [sone]; 40 phon is 1 sone, every 10 phon above double it.

    Raises
    ------
    InputError
        A value that is not finite.

    References
    ----------
    .. [1] ISO 532-1:2017: 2^((L - 40)/10) from 40 phon upwards and (L/40)^2.642 below; both
       from memory.
    """
    level = np.maximum(_finite(loudness_phon, "loudness_phon"), QUIETEST_PHON)
    return np.where(level >= 40, 2 ** ((level - 40) / 10), (level / 40) ** 2.642)


def times_as_loud(
    level_a_db: ArrayLike,
    level_b_db: ArrayLike,
    frequency_hz: ArrayLike,
    *,
    edition: Edition = 2023,
) -> FloatArray:
    """How many times as loud the level a sounds as the level b, as heard [-].

    Parameters
    ----------
    level_a_db, level_b_db : array_like
        Sound pressure levels of a tone [dB re 20 µPa].
    frequency_hz : array_like
        20 Hz to 12.5 kHz; all three are broadcast [Hz].
    edition : {2003, 2023}
        Edition of ISO 226.

    Returns
    -------
    ndarray
        Ratio of the loudnesses in sone: 2 means twice as loud, 0.5 half as loud [-].

    Raises
    ------
    InputError
        Frequency outside the contours, or a value that is not finite.

    References
    ----------
    .. [1] As :func:`phon` and :func:`sone`.
    """
    loud_a = sone(phon(level_a_db, frequency_hz, edition=edition))
    loud_b = sone(phon(level_b_db, frequency_hz, edition=edition))
    return np.asarray(loud_a / loud_b)


def times_as_loud_by_ten_db(level_a_db: ArrayLike, level_b_db: ArrayLike) -> FloatArray:
    """How many times as loud a sounds as b by the plain rule that 10 dB double it [-].

    Right at 1 kHz; in the bass it says too little, see :func:`times_as_loud`.

    Parameters
    ----------
    level_a_db, level_b_db : array_like
        Sound pressure levels [dB re 20 µPa].

    Returns
    -------
    ndarray, broadcast of both
        2^((a - b)/10) [-].

    Raises
    ------
    InputError
        A value that is not finite.

    References
    ----------
    .. [1] S. S. Stevens, "The measurement of loudness", Journal of the Acoustical Society of
       America 27(5), 1955, pp. 815-829.
    """
    difference = _finite(level_a_db, "level_a_db") - _finite(level_b_db, "level_b_db")
    return np.asarray(2 ** (difference / 10))


def db_per_doubling(
    level_db: ArrayLike, frequency_hz: ArrayLike, *, edition: Edition = 2023
) -> FloatArray:
    """How many more decibels make this tone sound twice as loud [dB].

    Parameters
    ----------
    level_db : array_like
        Sound pressure level [dB re 20 µPa].
    frequency_hz : array_like
        20 Hz to 12.5 kHz [Hz].
    edition : {2003, 2023}
        Edition of ISO 226.

    Returns
    -------
    ndarray, broadcast of both
        To ten phon above the contour on which `level_db` lies (from 40 phon upwards) [dB].

    Raises
    ------
    InputError
        Frequency outside the contours, or a value that is not finite.

    References
    ----------
    .. [1] As :func:`contour_db` and :func:`sone`.
    """
    here = phon(level_db, frequency_hz, edition=edition)
    return contour_db(here + 10, frequency_hz, edition=edition) - contour_db(
        here, frequency_hz, edition=edition
    )


def bass_phon(
    level_db: ArrayLike, frequency_hz: ArrayLike, *, edition: Edition = 2023
) -> FloatArray:
    """How loud a whole bass spectrum sounds, as one number [phon].

    Bands below about 100 Hz fall into one critical band, in which the ear adds energy
    and not loudness. So every band is changed into the level at 50 Hz that sounds as
    loud as it, these are added as energies, and the sum is read off in phon.

    Parameters
    ----------
    level_db : array_like, shape (..., f)
        Levels of third-octave bands [dB re 20 µPa].
    frequency_hz : array_like, shape (f,)
        Mid-frequencies of the bands, 20 to 100 [Hz].
    edition : {2003, 2023}
        Edition of ISO 226.

    Returns
    -------
    ndarray, shape (...)
        Loudness level [phon].

    Raises
    ------
    InputError
        A frequency above 100 Hz or outside the contours, or a value that is not finite.

    References
    ----------
    .. [1] E. Zwicker and H. Fastl, Psychoacoustics, sections 6.2 (critical bands: 100 Hz wide
       below 500 Hz) and 8.7, as in ISO 532-1, which likewise joins the bands up to 80 Hz
       after an equal-loudness correction; the reading through ISO 226 at 50 Hz is our own.
    """
    frequency = _finite(frequency_hz, "frequency_hz")
    if np.any(frequency > 100):
        raise InputError(
            "a band beyond the first critical band",
            field="frequency_hz",
            value=float(frequency.max()),
            allowed="20 to 100 Hz",
        )
    equivalent = contour_db(phon(level_db, frequency, edition=edition), 50.0, edition=edition)
    total = 10 * np.log10(np.sum(10 ** (equivalent / 10), axis=-1))
    return phon(total, 50.0, edition=edition)


def is_extrapolated(loudness_phon: ArrayLike) -> NDArray[np.bool_]:
    """Say where a loudness level lies outside the 20 to 90 phon that ISO 226 vouches for.

    Parameters
    ----------
    loudness_phon : array_like
        Loudness level [phon].

    Returns
    -------
    ndarray of bool, shape of `loudness_phon`

    Raises
    ------
    InputError
        A value that is not finite.

    References
    ----------
    .. [1] ISO 226:2023, clause 4.1.
    """
    level = _finite(loudness_phon, "loudness_phon")
    return np.asarray((level < 20) | (level > 90))


def a_weighting_db(frequency_hz: ArrayLike) -> FloatArray:
    """What the A-weighting of a sound level meter adds at this frequency [dB].

    Parameters
    ----------
    frequency_hz : array_like
        Above 0 [Hz].

    Returns
    -------
    ndarray, shape of `frequency_hz`
        0 at 1 kHz, -30.3 at 50 Hz [dB].

    Raises
    ------
    InputError
        A frequency that is not positive and finite.

    References
    ----------
    .. [1] IEC 61672-1:2013, annex E: poles at 20.598997 Hz (double), 107.65265 Hz,
       737.86223 Hz and 12194.217 Hz (double), 0 dB at 1 kHz.
    """
    frequency = _finite(frequency_hz, "frequency_hz")
    if np.any(frequency <= 0):
        raise InputError(
            "not a frequency",
            field="frequency_hz",
            value=float(frequency.min()),
            allowed="more than 0 Hz",
        )
    return _a_poles_db(frequency) - _a_poles_db(np.asarray(1000.0))


def _a_poles_db(frequency: FloatArray) -> FloatArray:
    square = frequency**2
    low, mid_low, mid_high, high = 20.598997, 107.65265, 737.86223, 12194.217
    gain = high**2 * square**2 / ((square + low**2) * (square + high**2))
    gain = gain / np.sqrt((square + mid_low**2) * (square + mid_high**2))
    return np.asarray(20 * np.log10(gain))


def _parameters(
    frequency_hz: ArrayLike, edition: Edition
) -> tuple[FloatArray, FloatArray, FloatArray]:
    frequency = _finite(frequency_hz, "frequency_hz")
    first, last = CONTOUR_FREQUENCY_HZ[0], CONTOUR_FREQUENCY_HZ[-1]
    outside = (frequency < first * (1 - 1e-9)) | (frequency > last * (1 + 1e-9))
    if np.any(outside):
        raise InputError(
            "outside the equal-loudness contours",
            field="frequency_hz",
            value=float(frequency[outside].flat[0]),
            allowed="20 Hz to 12500 Hz",
        )
    position, table = np.log(frequency), np.log(CONTOUR_FREQUENCY_HZ)
    exponent, transfer, threshold = (
        np.interp(position, table, row) for row in _ROWS[:, _COLUMNS[edition]].T
    )
    return np.asarray(exponent), np.asarray(transfer), np.asarray(threshold)


def _reference_db(edition: Edition) -> float:
    return 94.0 if edition == 2003 else 0.0


def _threshold_term(
    exponent: FloatArray, transfer: FloatArray, threshold: FloatArray, edition: Edition
) -> FloatArray:
    if edition == 2003:
        return np.asarray((0.4 * 10 ** ((threshold + transfer) / 10 - 9)) ** exponent)
    return np.asarray(10 ** (exponent * (threshold + transfer) / 10))


def _growth(exponent: FloatArray, edition: Edition) -> tuple[FloatArray, float]:
    if edition == 2003:
        return np.full_like(exponent, 4.47e-3), 1.15
    return np.asarray(4e-10 ** (0.3 - exponent)), 10**0.072


def _finite(values: ArrayLike, field: str) -> FloatArray:
    array = np.asarray(values, dtype=float)
    if not np.all(np.isfinite(array)):
        raise InputError("not a finite number", field=field, allowed="finite numbers")
    return array
