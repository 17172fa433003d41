"""What a box does when its cone moves far: waveforms and distortion in the time domain.

Force factor and stiffness depend on the excursion x by smooth curves through the two
shares that IEC 62458 names at the limit of the excursion, 82 % of the force factor and
75 % of the compliance (numbers from memory):

    Bl(x) = Bl / (1 + b (x - x0)^2),   k(x) = k (1 + a (x - x0)^2)

with x0 the rest position off the middle of the gap. The air in the box stays linear.
A semi-inductance counts as the inductance that it has at one stated frequency. What the
curves do to the sound: W. Klippel, "Loudspeaker nonlinearities: causes, parameters,
symptoms", JAES 54(10), 2006, pp. 907-939.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.sound.air import RHO_KG_PER_M3
from basswright.sound.models import CHAMBER_ARRAYS, Array, BoxModels, Chamber

_HARMONICS: Final = 5
_STEPS_A_CYCLE: Final = 600
#: Cycles played before, and those that are analysed.
_SETTLE_S: Final = 0.6
_ANALYSED: Final = 4


@dataclass(frozen=True, kw_only=True)
class Curvature:
    """How force factor and compliance shrink with the excursion.

    Attributes
    ----------
    force_share, compliance_share : float
        What is left of them at Xmax, 0.05 to 1 [-].
    offset_m : float
        How far the cone rests from the middle of the gap [m].

    References
    ----------
    .. [1] IEC 62458, Sound system equipment, Electroacoustical transducers, Measurement of
       large signal parameters (82 % and 75 %; from memory).
    """

    force_share: float = 0.82
    compliance_share: float = 0.75
    offset_m: float = 0.0

    def __post_init__(self) -> None:
        for name in ("force_share", "compliance_share"):
            share = getattr(self, name)
            if not 0.05 <= share <= 1:
                raise InputError("not a share", field=name, value=share, allowed="0.05 to 1")


#: A box whose parameters do not depend on the excursion.
STRAIGHT: Final = Curvature(force_share=1.0, compliance_share=1.0)


@dataclass(frozen=True, kw_only=True)
class Motion:
    """Waveforms of one box, each of shape (t,).

    Attributes
    ----------
    time_s : ndarray
        From the first sample [s].
    current_a : ndarray
        At the terminals [A].
    cone_m, cone_m_per_s : ndarray
        Outwards positive [m] and [m/s].
    vent_m_per_s : ndarray
        Air speed in the port, or speed of the radiators, of the rear chamber [m/s].
    pressure_pa : ndarray
        At 1 m in half space [Pa].
    """

    time_s: Array
    current_a: Array
    cone_m: Array
    cone_m_per_s: Array
    vent_m_per_s: Array
    pressure_pa: Array


@dataclass(frozen=True, kw_only=True)
class Distortion:
    """Harmonics of sine tones at f frequencies.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
        Of the tones [Hz].
    pressure_pa, cone_m : ndarray, shape (f, h)
        RMS of the fundamental and its harmonics, at 1 m in half space [Pa], and of the
        cone [m].
    thd_share : ndarray, shape (f,)
        Root of the summed squares of all harmonics over the fundamental, of the
        pressure [-].
    """

    frequency_hz: Array
    pressure_pa: Array
    cone_m: Array
    thd_share: Array


def play(
    models: BoxModels,
    voltage_v: ArrayLike,
    *,
    rate_hz: float,
    curvature: Curvature,
    inductance_at_hz: float = 50.0,
) -> Motion:
    """Play a voltage through one box (its middle case) from rest.

    Parameters
    ----------
    models : BoxModels
        n = 1; draw 0 is used.
    voltage_v : array_like, shape (t,)
        Instantaneous voltage at the terminals [V].
    rate_hz : float
        Samples a second, at least 4000: the coil answers within a few tenths of a
        millisecond [Hz].
    curvature : Curvature
    inductance_at_hz : float
        Frequency at which a semi-inductance is taken as an inductance [Hz].

    Returns
    -------
    Motion
        Waveforms of shape (t,).

    Raises
    ------
    InputError
        Several boxes, a rate that is too low, or a voltage that is not finite.

    Notes
    -----
    Fourth-order Runge-Kutta, one step a sample, straight lines between samples. Pressure is
    rho / (2 pi) times the acceleration of the volume.

    References
    ----------
    .. [1] W. Klippel, "Loudspeaker nonlinearities: causes, parameters, symptoms", JAES
       54(10), 2006, pp. 907-939.
    .. [2] E. Hairer, S. P. Nørsett and G. Wanner, Solving Ordinary Differential Equations I,
       2nd ed., Springer, 1993, chapter II.
    """
    from basswright.sound.motion import integrate

    volts = np.ascontiguousarray(voltage_v, dtype=float)
    if models.shape[0] != 1:
        raise InputError("one box at a time", field="models", value=models.shape[0], allowed="1")
    if not (np.isfinite(rate_hz) and rate_hz >= 4000):
        raise InputError("too few samples", field="rate_hz", value=rate_hz, allowed="4000 or more")
    if volts.ndim != 1 or not np.isfinite(volts).all():
        raise InputError("not a waveform", field="voltage_v", allowed="finite, one-dimensional")
    parameters = _parameters(models, curvature, 2 * np.pi * inductance_at_hz)
    path = integrate(parameters, volts, 1 / rate_hz)
    return Motion(
        time_s=np.arange(volts.size) / rate_hz,
        current_a=path[:, 0],
        cone_m=path[:, 1],
        cone_m_per_s=path[:, 2],
        vent_m_per_s=path[:, 4] / models.rear.vent_area_m2[0, 0],
        pressure_pa=RHO_KG_PER_M3 / (2 * np.pi) * path[:, -1],
    )


def distortion(
    models: BoxModels, frequency_hz: ArrayLike, voltage_v: float, *, curvature: Curvature
) -> Distortion:
    """Play sine tones one after the other and measure their harmonics.

    Parameters
    ----------
    models : BoxModels
        n = 1; draw 0 is used.
    frequency_hz : array_like, shape (f,)
        Above 0 [Hz].
    voltage_v : float
        RMS [V].
    curvature : Curvature

    Returns
    -------
    Distortion
        Fundamental and four harmonics, from four cycles after 0.6 s.

    References
    ----------
    .. [1] IEC 60268-5, Sound system equipment, Loudspeakers (harmonic distortion; the
       fundamental alone is the reference here).
    """
    grid = np.atleast_1d(np.asarray(frequency_hz, dtype=float))
    rows = [_one_tone(models, f, voltage_v, curvature) for f in grid]
    pressure, cone = (np.array([row[k] for row in rows]) for k in (0, 1))
    harmonics = np.sqrt((pressure[:, 1:] ** 2).sum(axis=1))
    return Distortion(
        frequency_hz=grid, pressure_pa=pressure, cone_m=cone, thd_share=harmonics / pressure[:, 0]
    )


def _one_tone(
    models: BoxModels, frequency_hz: float, voltage_v: float, curvature: Curvature
) -> tuple[Array, Array]:
    steps = max(_STEPS_A_CYCLE, int(np.ceil(8000 / frequency_hz)))
    rate = steps * frequency_hz
    cycles = int(np.ceil(_SETTLE_S * frequency_hz)) + _ANALYSED
    phase = 2 * np.pi * np.arange(cycles * steps) / steps
    motion = play(
        models,
        np.sqrt(2) * voltage_v * np.sin(phase),
        rate_hz=rate,
        curvature=curvature,
        inductance_at_hz=frequency_hz,
    )
    tail = slice(-_ANALYSED * steps, None)
    columns = _ANALYSED * np.arange(1, _HARMONICS + 1)
    pressure, cone = (
        np.abs(np.fft.rfft(wave[tail])[columns]) * np.sqrt(2) / (_ANALYSED * steps)
        for wave in (motion.pressure_pa, motion.cone_m)
    )
    return pressure, cone


def _parameters(models: BoxModels, curvature: Curvature, w: float) -> Array:
    """Pack one box for the integrator; see `motion.integrate` for the order."""
    one = {
        name: float(getattr(models, name)[0, 0])
        for name in (
            "Re_ohm", "Bl_tm", "Mms_kg", "Cms_m_per_n", "Rms_kg_per_s", "Sd_m2", "Xmax_m",
            "coil_K", "coil_n",
        )
    }  # fmt: skip
    n = one["coil_n"]
    coil = one["coil_K"] * w**n
    Xmax2 = one["Xmax_m"] ** 2
    cones = [
        one["Re_ohm"] + coil * np.cos(np.pi / 2 * n),
        coil * np.sin(np.pi / 2 * n) / w,
        one["Bl_tm"],
        one["Mms_kg"],
        1 / one["Cms_m_per_n"],
        one["Rms_kg_per_s"],
        one["Sd_m2"],
        (1 / curvature.force_share - 1) / Xmax2,
        (1 / curvature.compliance_share - 1) / Xmax2,
        curvature.offset_m,
    ]
    return np.array(cones + _packed(models.rear) + _packed(models.front))


def _packed(chamber: Chamber) -> list[float]:
    names = ("compliance", "leak", "absorption_s", *CHAMBER_ARRAYS[3:6])
    return [float(getattr(chamber, name)[0, 0]) for name in names]
