"""What was measured: recordings, responses at the ear, impedance, and what was proved."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Severity = Literal["note", "warning", "unusable"]


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Something about a recording that a person should know.

    Attributes
    ----------
    kind : str
        Short fixed name: "clipping", "noise", "drift", "sample rate", "start missing" ...
    severity : {"note", "warning", "unusable"}
    text : str
        What was found, with its figure.
    remedy : str
        What to do about it; empty where nothing has to be done.
    """

    kind: str
    severity: Severity
    text: str
    remedy: str = ""


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """A logarithmic sweep between two equal markers, as written by the signal maker.

    ``sin{(w1 T / R) [exp(t R / T) - 1]}``, R = ln(f2/f1) (Farina, AES 108, 2000), with
    half-cosine fades at both ends. Order in the file: `lead_s` of silence, marker,
    `gap_s`, sweep, `gap_s`, the same marker again, `gap_s` of silence.
    """

    start_hz: float = 10.0
    stop_hz: float = 300.0
    duration_s: float = 12.0
    level_dbfs: float = -12.0
    sample_rate_hz: int = 48000
    lead_s: float = 2.0
    gap_s: float = 1.0
    marker_s: float = 0.5
    marker_start_hz: float = 30.0
    marker_stop_hz: float = 120.0

    @property
    def growth(self) -> float:
        """R = ln(f2/f1)."""
        return float(np.log(self.stop_hz / self.start_hz))

    @property
    def total_s(self) -> float:
        """Length of the whole file."""
        return self.lead_s + 2 * self.marker_s + 3 * self.gap_s + self.duration_s


@dataclass(frozen=True, kw_only=True)
class Recording:
    """Sound as read from a file, before any analysis.

    Attributes
    ----------
    samples : ndarray, shape (n, channels)
        Full scale is 1.
    sample_rate_hz : float
    bits : int
        Resolution of the file's samples.
    name : str
        Name of the file.
    problems : tuple of Problem
    """

    samples: NDArray[np.float32]
    sample_rate_hz: float
    bits: int
    name: str
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """Correction of a microphone.

    Attributes
    ----------
    frequency_hz, correction_db : ndarray, shape (k,)
        What the microphone shows too much at that frequency; it is subtracted.
    level_at_full_scale_db : float or None
        Sound pressure level of a sine that just fills the recording; None if unknown.
    """

    frequency_hz: NDArray[np.float64]
    correction_db: NDArray[np.float64]
    level_at_full_scale_db: float | None = None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Measurement:
    """The response at one place, or averaged over several.

    Attributes
    ----------
    frequency_hz : ndarray, shape (f,)
    level_db : ndarray, shape (f,)
        Level of a full-scale sine: dB re 20 uPa where `absolute`, else dB re the full
        scale of the recording.
    phase_rad : ndarray, shape (f,)
        Unwrapped, with the time of flight to the first arrival taken out.
    impulse : ndarray, shape (n,)
        Gated impulse response at `impulse_rate_hz`; `arrival_s` after its start.
    distortion_db : ndarray, shape (h, f)
        Harmonics 2, 3, ... against the fundamental of the frequency; NaN-free, -120 where
        it cannot be told.
    noise_db : ndarray, shape (f,)
        Level that the noise alone would have shown, same reference as `level_db`.
    coherence : ndarray, shape (f,)
        Share of the power that comes from the sweep, 0 to 1.
    spread_db : ndarray, shape (f,)
        Standard deviation over the seats; zero for a single place.
    drift_ppm : float
        How much faster the recorder's clock ran than the player's.
    """

    frequency_hz: NDArray[np.float64]
    level_db: NDArray[np.float64]
    phase_rad: NDArray[np.float64]
    impulse: NDArray[np.float64]
    impulse_rate_hz: float
    arrival_s: float
    harmonics: tuple[int, ...]
    distortion_db: NDArray[np.float64]
    noise_db: NDArray[np.float64]
    coherence: NDArray[np.float64]
    spread_db: NDArray[np.float64]
    drift_ppm: float
    absolute: bool
    played_dbfs: float
    seats: tuple[str, ...] = ("driver",)
    problems: tuple[Problem, ...] = ()

    @property
    def usable(self) -> bool:
        """Whether nothing found in the recording forbids its use."""
        return all(problem.severity != "unusable" for problem in self.problems)


@dataclass(frozen=True, kw_only=True)
class ImpedanceFit:
    """A box model fitted to an impedance sweep.

    Attributes
    ----------
    kind : {"closed", "vented", "passive-radiator"}
    names : tuple of str
        Names of the fitted parameters, units in the name.
    values, standard_errors : ndarray, shape (p,)
    covariance : ndarray, shape (p, p)
    frequency_hz : ndarray, shape (f,)
    measured_ohm, fitted_ohm : ndarray of complex, shape (f,)
    residual_share : float
        rms of abs(measured - fitted) / abs(measured).
    """

    kind: str
    names: tuple[str, ...]
    values: NDArray[np.float64]
    standard_errors: NDArray[np.float64]
    covariance: NDArray[np.float64]
    frequency_hz: NDArray[np.float64]
    measured_ohm: NDArray[np.complex128]
    fitted_ohm: NDArray[np.complex128]
    residual_share: float
    problems: tuple[Problem, ...] = ()

    def value(self, name: str) -> float:
        """Return one fitted parameter by its name."""
        return float(self.values[self.names.index(name)])


@dataclass(frozen=True, kw_only=True)
class Cause:
    """One thing that may be wrong, and how well it explains the difference.

    Attributes
    ----------
    fault : str
        Fixed name of the fault.
    share : float
        Probability among the causes looked at (and none at all), 0 to 1.
    explained_share : float
        Part of the squared difference that goes away with it, 0 to 1.
    residual_db : float
        rms of what is left.
    setting : str
        The strength that fits best, in a person's words and units.
    check_next : str
        What to look at, or the reading that would settle it.
    curve_db : ndarray, shape (f,)
        Level that the model gives with this fault, on the frequencies of the proof.
    """

    fault: str
    share: float
    explained_share: float
    residual_db: float
    setting: str
    check_next: str
    curve_db: NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Proof:
    """Measured against promised.

    Attributes
    ----------
    kept : bool
        Whether the measured level stays above the lower edge of the band (and the
        promise) at every third-octave that was promised.
    frequency_hz, measured_db, predicted_db, low_db, high_db : ndarray, shape (f,)
        Band as promised, 90 %.
    bands_hz, band_margin_db : ndarray, shape (b,)
        Measured minus the lower edge, by third-octave.
    where_not : tuple of str
        Bands that fall short, in a person's words.
    causes : tuple of Cause
        Likeliest first; empty where no model of the system was given.
    nothing_share : float
        Probability that everything is as planned and only the prediction is off.
    cannot_tell : tuple of tuple of str
        Groups of faults that this evidence cannot separate, likeliest group first.
    separating_reading : tuple of str
        For each group, the reading that would separate them.
    """

    kept: bool
    frequency_hz: NDArray[np.float64]
    measured_db: NDArray[np.float64]
    predicted_db: NDArray[np.float64]
    low_db: NDArray[np.float64]
    high_db: NDArray[np.float64]
    bands_hz: NDArray[np.float64]
    band_margin_db: NDArray[np.float64]
    where_not: tuple[str, ...]
    causes: tuple[Cause, ...] = ()
    nothing_share: float = 1.0
    cannot_tell: tuple[tuple[str, ...], ...] = ()
    separating_reading: tuple[str, ...] = ()
    check_next: str = ""
    problems: tuple[Problem, ...] = field(default=())
