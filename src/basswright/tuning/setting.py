"""How is this system set? Filters, delay, equaliser and gain in one answer."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError, InputErrors
from basswright.records.tuning import (
    Biquad,
    Delay,
    EqualiserBand,
    GainSetting,
    PassFilter,
    TuningSettings,
)
from basswright.tuning.delay import from_distances
from basswright.tuning.equalise import fit, house_curve
from basswright.tuning.filters import infrasonic, low_pass, pass_db, peaking
from basswright.tuning.request import TuningRequest

Floats = NDArray[np.float64]

CAUTIONS = (
    "Disconnect the bass box before the tone is played, or keep it short: a tone at full "
    "level heats the coil and can exceed 110 dB at the ear; wear hearing protection.",
    "The voltmeter has to show true RMS at the frequency of the tone.",
    "Set the gain with equaliser, bass boost and loudness off and the low-pass above the "
    "tone; then switch the filters on.",
    "If the amplifier shows clipping before the voltage is reached, turn back: the voltage "
    "is the most that the box may get, not a goal.",
)


def settings(
    frequency_hz: ArrayLike,
    level_db: ArrayLike,
    *,
    headroom_db: ArrayLike,
    request: TuningRequest,
    delay: Delay | None = None,
) -> TuningSettings:
    """Return everything that is set on the day of fitting.

    Parameters
    ----------
    frequency_hz, level_db : array_like, shape (f,)
        Predicted or measured level of the bass box at the ear [Hz, dB], ascending.
    headroom_db : array_like, shape (f,)
        Loudest clean level less that level [dB]. No band boosts beyond it, and none
        boosts where it is not positive.
    request : TuningRequest
    delay : Delay, optional
        Measured (:func:`basswright.tuning.delay.from_measurements`); else it follows from
        the distances, if both are known.

    Raises
    ------
    InputErrors
        Arrays of different length, not ascending or not finite.
    """
    frequency, level, headroom = _checked(frequency_hz, level_db, headroom_db)
    crossover = request.crossover_hz
    filter_low = PassFilter(
        family=request.family,
        frequency_hz=crossover,
        slope_db_per_octave=request.slope_db_per_octave,
    )
    filter_high = infrasonic_setting(
        frequency, headroom_db=headroom, protect_below_hz=request.protect_below_hz
    )
    target = house_curve(frequency, crossover_hz=crossover, rise_db=request.rise_db)
    lowest = max(filter_high.frequency_hz if filter_high else 0.0, 20.0, frequency[0])
    found = fit(
        frequency,
        level,
        target_db=target,
        headroom_db=headroom,
        fit_range_hz=(lowest, min(crossover, float(frequency[-1]))),
        count=request.bands,
    )
    chain = _chain(filter_low, filter_high, found.bands, request.sample_rate_hz)
    held = _held_back(frequency, found.wanting_db)
    held += _still_beyond(frequency, headroom, filter_high)
    return TuningSettings(
        low_pass=filter_low,
        infrasonic=filter_high,
        delay=delay or _delay(request),
        bands=found.bands,
        gain=gain_setting(
            request.gain_voltage_v,
            tone_hz=request.tone_hz,
            tone_level_dbfs=request.tone_level_dbfs,
        ),
        biquads=chain,
        sample_rate_hz=request.sample_rate_hz,
        ripple_before_db=found.before_db,
        ripple_after_db=found.after_db,
        level_lost_db=_level_lost(frequency, headroom, found.equaliser_db),
        held_back=held,
        cautions=CAUTIONS,
    )


def gain_setting(
    gain_voltage_v: float, *, tone_hz: float = 45.0, tone_level_dbfs: float = -5.0
) -> GainSetting:
    """Return what the meter has to show: ``U 10^(x/20)`` with a tone x dB below full scale.

    dBFS as in IEC 61606 and AES17: a sine that just fills the scale is 0 dBFS.
    """
    return GainSetting(
        gain_voltage_v=gain_voltage_v,
        tone_hz=tone_hz,
        tone_level_dbfs=tone_level_dbfs,
        tone_voltage_v=gain_voltage_v * 10 ** (tone_level_dbfs / 20),
    )


def infrasonic_setting(
    frequency_hz: Floats, *, headroom_db: Floats, protect_below_hz: float | None
) -> PassFilter | None:
    """Return the lowest infrasonic filter that keeps the cone within its stroke.

    A vented or passive-radiator box always gets one, between 0.5 and 0.95 of its tuning;
    a closed box only where the headroom below 30 Hz is negative. Butterworth, 24 dB per
    octave; where no corner suffices, the highest one.
    """
    ceiling = 0.95 * protect_below_hz if protect_below_hz else 30.0
    region = frequency_hz < (protect_below_hz or 30.0)
    if protect_below_hz is None and not (headroom_db[region] < 0).any():
        return None
    corners = np.arange(max(np.ceil(0.5 * ceiling), 10.0), np.ceil(ceiling) + 1)
    filters = [
        PassFilter(
            family="butterworth", frequency_hz=float(min(corner, ceiling)), slope_db_per_octave=24
        )
        for corner in corners
    ]
    for one in filters:
        over = headroom_db - pass_db(frequency_hz, one, high=True)
        if (over[region] >= 0).all():
            return one
    return filters[-1]


def _chain(
    filter_low: PassFilter,
    filter_high: PassFilter | None,
    bands: tuple[EqualiserBand, ...],
    sample_rate_hz: float,
) -> tuple[Biquad, ...]:
    sections = infrasonic(filter_high, sample_rate_hz) if filter_high else ()
    sections += tuple(peaking(band, sample_rate_hz) for band in bands)
    return sections + low_pass(filter_low, sample_rate_hz)


def _delay(request: TuningRequest) -> Delay:
    if request.bass_distance_m is None or request.front_distance_m is None:
        return Delay(
            on="neither",
            delay_s=0.0,
            polarity="normal",
            how="not known",
            note="measure the distances from the ear to the front speaker and to the cone",
        )
    return from_distances(request.bass_distance_m, request.front_distance_m)


def _level_lost(frequency: Floats, headroom: Floats, equaliser: Floats) -> float:
    """Return how much less loud the system can be with the equaliser, 31.5 to 80 Hz.

    Where the box itself is the limit (negative headroom) a cut costs nothing until it
    has used that up.
    """
    inside = (frequency >= 28) & (frequency <= 90)
    if not inside.any():
        return 0.0
    now = np.minimum(headroom, 0.0)
    then = np.minimum(equaliser, headroom)
    return max(0.0, float((now - then)[inside].mean()))


def _held_back(frequency: Floats, wanting: Floats) -> tuple[str, ...]:
    return _spans(frequency, wanting > 1.5, "stays {:.1f} dB below the target", wanting)


def _still_beyond(
    frequency: Floats, headroom: Floats, filter_high: PassFilter | None
) -> tuple[str, ...]:
    rest = headroom - (pass_db(frequency, filter_high, high=True) if filter_high else 0.0)
    return _spans(
        frequency,
        rest < -0.5,
        "at full scale the box is {:.1f} dB beyond its limit; it must not be driven there "
        "with full-scale tones",
        -rest,
    )


def _spans(
    frequency: Floats, where: NDArray[np.bool_], text: str, amount: Floats
) -> tuple[str, ...]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], where, [False]]).astype(int)))
    found = []
    for first, end in zip(edges[::2], edges[1::2], strict=True):
        span = f"{frequency[first]:.0f} to {frequency[end - 1]:.0f} Hz"
        found.append(f"{span}: " + text.format(float(amount[first:end].max())))
    return tuple(found)


def _checked(
    frequency_hz: ArrayLike, level_db: ArrayLike, headroom_db: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    named = {"frequency_hz": frequency_hz, "level_db": level_db, "headroom_db": headroom_db}
    arrays = {name: np.asarray(value, dtype=np.float64) for name, value in named.items()}
    frequency = arrays["frequency_hz"]
    errors = []
    for name, array in arrays.items():
        if array.ndim != 1 or array.shape != frequency.shape:
            problem = "needs one value a frequency"
            errors.append(InputError(problem, field=name, value=array.shape))
        elif not np.isfinite(array).all():
            errors.append(InputError("holds values that are not numbers", field=name))
    if not errors and (frequency.size < 8 or (np.diff(frequency) <= 0).any() or frequency[0] <= 0):
        errors.append(
            InputError(
                "frequencies have to ascend from above 0 Hz",
                field="frequency_hz",
                value=frequency.size,
                allowed="at least 8 of them",
            )
        )
    if errors:
        raise InputErrors(errors)
    return frequency, arrays["level_db"], arrays["headroom_db"]
