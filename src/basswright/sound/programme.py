"""What a music programme does to a box: excursion, heat, clipping, power.

A sine at full power is not what a box plays. Here is a built-in programme signal with
the spectrum of IEC 60268-1, statistics of a person's own track, and what either does
when it goes through a box's responses. Arrays in, arrays out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

#: IEC 60268-1:1985, table II: mid-frequency [Hz] and level of the third-octave band [dB].
_TABLE_II: Final = np.array(
    [
        [20, -13.5],
        [25, -10.2],
        [31.5, -7.4],
        [40, -5.2],
        [50, -3.5],
        [63, -2.3],
        [80, -1.4],
        [100, -0.9],
        [125, -0.5],
        [160, -0.2],
        [200, -0.1],
        [250, 0.0],
        [800, 0.0],
        [1000, -0.1],
        [2000, -1.0],
        [4000, -3.7],
        [8000, -9.4],
        [16000, -18.2],
        [20000, -21.6],
    ]
)
#: Peak over RMS of the built-in signal: IEC 60268-5 asks for 1.8 to 2.2.
CREST_RATIO: Final = 2.0
_BLOCK_S = 0.125  # "fast" time weighting of IEC 61672-1


@dataclass(frozen=True, kw_only=True)
class TrackStatistics:
    """What a track is like, as far as a box and an amplifier care.

    Attributes
    ----------
    rms, peak : float
        In the track's own unit (1 is usually full scale).
    crest_db : float
        Peak over RMS [dB]; a sine has 3.01.
    power_share : float
        Mean power over that of a full-scale sine of the same peak [-].
    duty_share : float
        Share of the time in which the level (0.125 s) is within 10 dB of its highest [-].
    envelope : ndarray, shape (blocks,)
        RMS of each 0.125 s.
    band_hz : ndarray, shape (11,)
        Third-octave bands from 20 to 200 Hz [Hz].
    band_db : ndarray, shape (11,)
        Their share of the track's power [dB].
    """

    rms: float
    peak: float
    crest_db: float
    power_share: float
    duty_share: float
    envelope: FloatArray
    band_hz: FloatArray
    band_db: FloatArray


@dataclass(frozen=True, kw_only=True)
class Coil:
    """How a voice coil heats: two resistances with their time constants.

    Attributes
    ----------
    resistance_ohm : float
        DC resistance at 20 °C [ohm].
    coil_k_per_w, magnet_k_per_w : float
        Thermal resistance coil to magnet and magnet to air [K/W].
    coil_s, magnet_s : float
        Their time constants [s].
    per_kelvin : float
        Temperature coefficient; 0.00393 for copper (IEC 60028) [K^-1].
    """

    resistance_ohm: float
    coil_k_per_w: float
    magnet_k_per_w: float
    coil_s: float = 8.0
    magnet_s: float = 1200.0
    per_kelvin: float = 0.00393


@dataclass(frozen=True, kw_only=True)
class BoxResponse:
    """What one volt does to a box.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
    excursion_m_per_v : ndarray of complex, shape (f,)
        Cone (or radiator) excursion for each volt [m/V].
    current_a_per_v : ndarray of complex, shape (f,)
        One over the impedance [A/V].
    limit_m : float
        Excursion limit, one way [m].
    """

    frequency_hz: FloatArray
    excursion_m_per_v: ComplexArray
    current_a_per_v: ComplexArray
    limit_m: float


@dataclass(frozen=True, kw_only=True)
class ProgrammeEffect:
    """What a programme does to a box.

    Attributes
    ----------
    peak_m : float
        Highest excursion, peak [m].
    often_m : float
        Excursion that is exceeded in 1 % of the time [m].
    over_limit_share : float
        Share of the time beyond the excursion limit that was given.
    clipped_share : float
        Share of the time in which the amplifier clips.
    clipping_db : float
        How far the highest peak would go beyond the amplifier's voltage [dB]; 0 if it
        does not.
    average_w : float
        Power drawn on average [W].
    coil_rise_k : float
        Highest rise of the coil above the air [K], with resistance growing as it heats.
    compression_db : float
        How much quieter it plays at that temperature, driven from a voltage, in the
        mass-controlled band [dB].
    """

    peak_m: float
    often_m: float
    over_limit_share: float
    clipped_share: float
    clipping_db: float
    average_w: float
    coil_rise_k: float
    compression_db: float


def programme_band_db(frequency_hz: ArrayLike) -> FloatArray:
    """Third-octave level of the standard's programme signal, 0 at its highest [dB].

    Parameters
    ----------
    frequency_hz : array_like
        Above 0 [Hz].

    Returns
    -------
    ndarray, shape of `frequency_hz`
        Between the tabulated bands interpolated over log frequency, below 20 Hz falling by
        10.5 an octave, as the table ends [dB].

    Raises
    ------
    InputError
        A frequency that is not positive and finite.

    References
    ----------
    .. [1] IEC 60268-1:1985, clause 7 and table II (simulated programme signal).
    """
    frequency = np.asarray(frequency_hz, dtype=float)
    if not np.all(np.isfinite(frequency)) or np.any(frequency <= 0):
        raise InputError("not a frequency", field="frequency_hz", allowed="more than 0 Hz")
    level = np.interp(np.log(frequency), np.log(_TABLE_II[:, 0]), _TABLE_II[:, 1])
    below = np.maximum(0.0, np.log2(20.0 / frequency))
    return np.asarray(level - 10.5 * below)


def programme_signal(
    duration_s: float, sample_rate_hz: float, *, crest_ratio: float = CREST_RATIO, seed: int = 0
) -> FloatArray:
    """Make a programme signal of RMS 1: noise of the standard's spectrum, peaks limited.

    Parameters
    ----------
    duration_s : float
        0.5 to 3600 [s].
    sample_rate_hz : float
        400 to 192,000; 1000 is enough for the bass [Hz].
    crest_ratio : float
        Peak over RMS, 1.5 to 4; the standard's limited noise has 1.8 to 2.2 [-].
    seed : int
        The same seed gives the same signal.

    Returns
    -------
    ndarray, shape (samples,)
        RMS 1, peak `crest_ratio` [-].

    Raises
    ------
    InputError
        A figure outside the stated range.

    References
    ----------
    .. [1] IEC 60268-1:1985, table II.
    .. [2] IEC 60268-5 (noise test), peak-to-RMS ratio 1.8 to 2.2.
    """
    _in_range(duration_s, 0.5, 3600, "duration_s")
    _in_range(sample_rate_hz, 400, 192_000, "sample_rate_hz")
    _in_range(crest_ratio, 1.5, 4, "crest_ratio")
    count = int(duration_s * sample_rate_hz)
    rng = np.random.default_rng(seed)
    frequency = np.fft.rfftfreq(count, 1 / sample_rate_hz)[1:]
    power = 10 ** (programme_band_db(frequency) / 10) / frequency
    noise = rng.standard_normal((2, len(frequency)))
    spectrum = np.sqrt(power) * (noise[0] + 1j * noise[1])
    signal = np.fft.irfft(np.concatenate([[0], spectrum]), n=count)
    signal = signal / np.sqrt(np.mean(signal**2))
    for _ in range(60):
        signal = np.clip(signal, -crest_ratio, crest_ratio)
        signal = signal / np.sqrt(np.mean(signal**2))
        if np.max(np.abs(signal)) < crest_ratio * (1 + 1e-4):
            break
    return np.asarray(signal)


def track_statistics(track: ArrayLike, sample_rate_hz: float) -> TrackStatistics:
    """Say what a person's own track is like.

    Parameters
    ----------
    track : array_like, shape (samples,) or (samples, channels)
        Channels are added up, as a subwoofer hears them.
    sample_rate_hz : float
        400 to 192,000 [Hz].

    Returns
    -------
    TrackStatistics

    Raises
    ------
    InputError
        Shorter than one second, silent, or not finite.

    References
    ----------
    .. [1] IEC 61260-1 (third-octave bands, base-ten mid-frequencies).
    .. [2] IEC 61672-1 (0.125 s, "fast").
    """
    _in_range(sample_rate_hz, 400, 192_000, "sample_rate_hz")
    mono = _one_channel(track, sample_rate_hz)
    rms, peak = float(np.sqrt(np.mean(mono**2))), float(np.max(np.abs(mono)))
    block = int(_BLOCK_S * sample_rate_hz)
    blocks = mono[: len(mono) // block * block].reshape(-1, block)
    envelope = np.sqrt(np.mean(blocks**2, axis=1))
    bands = 1000 * 10 ** (np.arange(-17, -6) / 10)
    power = np.abs(np.fft.rfft(mono)) ** 2
    frequency = np.fft.rfftfreq(len(mono), 1 / sample_rate_hz)
    index = np.searchsorted(frequency, np.outer(bands, 10 ** (np.array([-0.5, 0.5]) / 10)))
    running = np.concatenate([[0.0], np.cumsum(power)])
    share = (running[index[:, 1]] - running[index[:, 0]]) / running[-1]
    return TrackStatistics(
        rms=rms,
        peak=peak,
        crest_db=20 * float(np.log10(peak / rms)),
        power_share=2 * (rms / peak) ** 2,
        duty_share=float(np.mean(envelope >= envelope.max() * 10**-0.5)),
        envelope=envelope,
        band_hz=bands,
        band_db=10 * np.log10(np.maximum(share, 1e-12)),
    )


def through(
    signal: ArrayLike, sample_rate_hz: float, frequency_hz: ArrayLike, response: ArrayLike
) -> FloatArray:
    """Return a signal after a linear response given on a frequency grid.

    Parameters
    ----------
    signal : array_like, shape (samples,)
        In any unit.
    sample_rate_hz : float
        [Hz]
    frequency_hz : array_like, shape (f,)
        Rising. Outside it the response is taken as zero, so let it cover what matters [Hz].
    response : array_like of complex, shape (f,)
        Output for each unit of input, e^{jωt} convention.

    Returns
    -------
    ndarray, shape (samples,)
        In the unit of the signal times that of the response.

    Raises
    ------
    InputError
        A response that does not fit its frequencies, or values that are not finite.

    Notes
    -----
    Magnitude (over log frequency) and unwrapped phase are interpolated apart; the
    signal is treated as periodic.

    References
    ----------
    .. [1] A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing (filtering by
       multiplication of discrete Fourier transforms; circular convolution).
    """
    wave = np.asarray(signal, dtype=float)
    frequency, value = np.asarray(frequency_hz, dtype=float), np.asarray(response, dtype=complex)
    if frequency.ndim != 1 or value.shape != frequency.shape or np.any(np.diff(frequency) <= 0):
        raise InputError("a response needs one value for each rising frequency", field="response")
    if not (np.all(np.isfinite(value)) and np.all(np.isfinite(wave))):
        raise InputError("a value that is not finite", field="response")
    bins = np.fft.rfftfreq(len(wave), 1 / sample_rate_hz)
    inside = (bins >= frequency[0]) & (bins <= frequency[-1])
    at, known = np.log(bins[inside]), np.log(frequency)
    size = np.exp(np.interp(at, known, np.log(np.maximum(np.abs(value), 1e-300))))
    turn = np.interp(at, known, np.unwrap(np.angle(value)))
    spectrum = np.zeros(len(bins), dtype=complex)
    spectrum[inside] = np.fft.rfft(wave)[inside] * size * np.exp(1j * turn)
    return np.fft.irfft(spectrum, n=len(wave))


def programme_effect(
    signal_v: ArrayLike,
    sample_rate_hz: float,
    *,
    box: BoxResponse,
    coil: Coil,
    amplifier_v: float,
) -> ProgrammeEffect:
    """Say what a programme does to a box on an amplifier.

    Parameters
    ----------
    signal_v : array_like, shape (samples,)
        Voltage that the amplifier is asked for [V]; it clips at its peak voltage.
    sample_rate_hz : float
        [Hz]
    box : BoxResponse
        Cone excursion and current for each volt, and the excursion limit.
    coil : Coil
    amplifier_v : float
        RMS voltage of the largest sine that the amplifier gives [V].

    Returns
    -------
    ProgrammeEffect
        Excursions [m], power [W], rise of the coil [K].

    Raises
    ------
    InputError
        Shorter than one second, silent, not finite, or no amplifier voltage.

    References
    ----------
    .. [1] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41 (compression 20 log10 of the resistance's ratio).
    """
    if not (np.isfinite(amplifier_v) and amplifier_v > 0):
        raise InputError("no voltage", field="amplifier_v", value=amplifier_v)
    wanted = _one_channel(signal_v, sample_rate_hz)
    ceiling = amplifier_v * np.sqrt(2)
    voltage = np.clip(wanted, -ceiling, ceiling)
    excursion = through(voltage, sample_rate_hz, box.frequency_hz, box.excursion_m_per_v)
    current = through(voltage, sample_rate_hz, box.frequency_hz, box.current_a_per_v)
    rise = coil_rise_k(current**2 * coil.resistance_ohm, sample_rate_hz, coil)
    hot = float(rise.max())
    size = np.abs(excursion)
    return ProgrammeEffect(
        peak_m=float(size.max()),
        often_m=float(np.quantile(size, 0.99)),
        over_limit_share=float(np.mean(size > box.limit_m)),
        clipped_share=float(np.mean(np.abs(wanted) > ceiling)),
        clipping_db=max(0.0, 20 * float(np.log10(np.max(np.abs(wanted)) / ceiling))),
        average_w=float(np.mean(voltage * current)),
        coil_rise_k=hot,
        compression_db=20 * float(np.log10(1 + coil.per_kelvin * hot)),
    )


def coil_rise_k(power_w: ArrayLike, sample_rate_hz: float, coil: Coil) -> FloatArray:
    """Return the temperature rise of a coil over time for a given heat [K].

    Two stages in series, each a first-order lag, stepped exactly in blocks; while the
    coil is hot its resistance is higher, and from a voltage it takes less power.

    Parameters
    ----------
    power_w : array_like, shape (samples,)
        Heat that the coil would take if it stayed at 20 °C [W].
    sample_rate_hz : float
        [Hz]
    coil : Coil

    Returns
    -------
    ndarray, shape (blocks,)
        Rise of the coil at the end of each 0.125 s [K].

    References
    ----------
    .. [1] D. J. Button, "Heat dissipation and power compression in loudspeakers", JAES
       40(1/2), 1992, pp. 32-41 (two-stage thermal circuit).
    .. [2] IEC 60028, International standard of resistance for copper, 1925.
    """
    power = np.asarray(power_w, dtype=float)
    block = max(1, int(_BLOCK_S * sample_rate_hz))
    blocks = power[: max(1, len(power) // block) * block].reshape(-1, min(block, len(power)))
    mean = blocks.mean(axis=1)
    span = blocks.shape[1] / sample_rate_hz
    coil_keep, magnet_keep = np.exp(-span / coil.coil_s), np.exp(-span / coil.magnet_s)
    out = np.empty(len(mean))
    near = far = 0.0
    for index, heat in enumerate(mean):
        taken = heat / (1 + coil.per_kelvin * (near + far))
        near = near * coil_keep + taken * coil.coil_k_per_w * (1 - coil_keep)
        far = far * magnet_keep + taken * coil.magnet_k_per_w * (1 - magnet_keep)
        out[index] = near + far
    return out


def _one_channel(track: ArrayLike, sample_rate_hz: float) -> FloatArray:
    array = np.asarray(track, dtype=float)
    if array.ndim not in (1, 2) or len(array) < sample_rate_hz:
        raise InputError(
            "not a track", field="track", value=str(array.shape), allowed="1 s or longer"
        )
    if not np.all(np.isfinite(array)):
        raise InputError("a sample that is not finite", field="track")
    mono = array if array.ndim == 1 else array.mean(axis=1)
    if not np.any(mono):
        raise InputError("a silent track", field="track")
    return np.asarray(mono)


def _in_range(value: float, low: float, high: float, field: str) -> None:
    if not low <= value <= high:
        raise InputError("out of range", field=field, value=value, allowed=f"{low:g} to {high:g}")
