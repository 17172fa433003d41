"""Which box and driver does an impedance sweep belong to?"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.measurement import ImpedanceFit, Problem

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]
Kind = Literal["closed", "vented", "passive-radiator"]

#: Parameters of each kind of box, in the order of a fit.
PARAMETERS: dict[Kind, tuple[str, ...]] = {
    "closed": ("Re_ohm", "Res_ohm", "fc_hz", "Qmc", "coil_K", "coil_n"),
    "vented": (
        "Re_ohm",
        "Res_ohm",
        "fs_hz",
        "Qms",
        "compliance_ratio",
        "tuning_hz",
        "QL",
        "coil_K",
        "coil_n",
    ),
    "passive-radiator": (
        "Re_ohm",
        "Res_ohm",
        "fs_hz",
        "Qms",
        "compliance_ratio",
        "tuning_hz",
        "QL",
        "radiator_hz",
        "Qmp",
        "coil_K",
        "coil_n",
    ),
}
#: No meter is surer than that; a closer fit is no reason for a box of more parts.
_AS_GOOD_AS_IT_GETS = 0.003
_RANGES = {
    "Re_ohm": (0.2, 40.0),
    "Res_ohm": (0.5, 2000.0),
    "fc_hz": (10.0, 200.0),
    "fs_hz": (8.0, 200.0),
    "Qmc": (0.3, 60.0),
    "Qms": (0.3, 60.0),
    "compliance_ratio": (0.02, 30.0),
    "tuning_hz": (10.0, 150.0),
    "QL": (0.3, 200.0),
    "radiator_hz": (3.0, 60.0),
    "Qmp": (0.5, 60.0),
    "coil_K": (1e-6, 2.0),
    "coil_n": (0.4, 1.0),
}


def model_impedance(kind: Kind, frequency_hz: ArrayLike, values: ArrayLike) -> Complex:
    """Return the impedance of a boxed driver [ohm].

    Parameters
    ----------
    kind : {"closed", "vented", "passive-radiator"}
    frequency_hz : array_like, shape (f,)
    values : array_like
        In the order of :data:`PARAMETERS`.

    Notes
    -----
    ``Z = Re + K (jw)^n + Res / m``, Res = Bl^2/Rms, and m the mechanical impedance over
    Rms: closed box ``1 + j Qmc (w/wc - wc/w)`` (Small 1972), else ``1 + j Qms (w/ws -
    ws/w) + a Qms ws / (jw D)`` with a = Vas/Vb. ``D = 1 + wb/(jw QL) - wb^2/w^2`` for a
    port (Small 1973), ``D = 1 + wb/(jw QL) + (wb^2 - wp^2) / (wp^2 - w^2 + jw wp/Qmp)``
    for a radiator (Small 1974). The semi-inductance is that of Leach (JAES 50(6), 2002).
    """
    value = dict(zip(PARAMETERS[kind], np.asarray(values, dtype=np.float64), strict=True))
    jw = 2j * np.pi * np.asarray(frequency_hz, dtype=np.float64)
    coil = value["Re_ohm"] + value["coil_K"] * jw ** value["coil_n"]
    if kind == "closed":
        wc = 2 * np.pi * value["fc_hz"]
        moving = 1 + value["Qmc"] * (jw / wc + wc / jw)
        return np.asarray(coil + value["Res_ohm"] / moving, dtype=np.complex128)
    ws, wb = 2 * np.pi * value["fs_hz"], 2 * np.pi * value["tuning_hz"]
    box = 1 + wb / (jw * value["QL"])
    if kind == "vented":
        box = box + wb**2 / jw**2
    else:
        wp = min(2 * np.pi * value["radiator_hz"], 0.999 * wb)
        box = box + (wb**2 - wp**2) / (wp**2 + jw**2 + jw * wp / value["Qmp"])
    moving = 1 + value["Qms"] * (jw / ws + ws / jw)
    moving = moving + value["compliance_ratio"] * value["Qms"] * ws / (jw * box)
    return np.asarray(coil + value["Res_ohm"] / moving, dtype=np.complex128)


def fit_impedance(
    frequency_hz: ArrayLike, impedance_ohm: ArrayLike, *, kind: Kind | None = None
) -> ImpedanceFit:
    """Fit a box model to an impedance sweep.

    Parameters
    ----------
    frequency_hz : array_like, shape (f,)
        Ascending, at least 20 of them between 10 and 200 Hz [Hz].
    impedance_ohm : array_like of complex, shape (f,)
    kind : str, optional
        Kind of box; without it the kind that explains most for its number of parameters
        (Schwarz's criterion) is taken.

    Returns
    -------
    ImpedanceFit
        Qes (or Qec) is ``Qms Re / Res``. The covariance is that of the values, from the
        curvature of the sum of squares and the scatter that is left.

    Raises
    ------
    InputError
        Too few readings, not ascending, not finite, or no resistance at all.
    """
    frequency, measured = _checked(frequency_hz, impedance_ohm)
    kinds: tuple[Kind, ...] = (kind,) if kind else ("closed", "vented", "passive-radiator")
    fits = [_fit(one, frequency, measured) for one in kinds]
    count = 2 * frequency.size
    scores = [
        count * np.log(max(one.residual_share, _AS_GOOD_AS_IT_GETS) ** 2)
        + len(one.names) * np.log(count)
        for one in fits
    ]
    return fits[int(np.argmin(scores))]


def _fit(kind: Kind, frequency: Floats, measured: Complex) -> ImpedanceFit:
    from scipy.optimize import least_squares

    names = PARAMETERS[kind]
    low, high = (np.log([_RANGES[name][end] for name in names]) for end in (0, 1))

    def rest(logs: Floats) -> Floats:
        error = (model_impedance(kind, frequency, np.exp(logs)) - measured) / np.abs(measured)
        return np.concatenate([error.real, error.imag])

    tried = [
        least_squares(rest, np.clip(np.log(start), low + 1e-6, high - 1e-6), bounds=(low, high))
        for start in _starts(kind, frequency, measured)
    ]
    best = min(tried, key=lambda one: float(one.cost))
    values = np.exp(best.x)
    covariance = _covariance(np.asarray(best.jac), 2 * float(best.cost), values)
    share = float(np.sqrt(2 * best.cost / frequency.size))
    return ImpedanceFit(
        kind=kind,
        names=names,
        values=values,
        standard_errors=np.sqrt(np.diag(covariance)),
        covariance=covariance,
        frequency_hz=frequency,
        measured_ohm=measured,
        fitted_ohm=model_impedance(kind, frequency, values),
        residual_share=share,
        problems=_problems(kind, share),
    )


def _covariance(jacobian: Floats, square: float, values: Floats) -> Floats:
    """Return the covariance of the values; the fit itself is in their logarithms."""
    free = max(jacobian.shape[0] - values.size, 1)
    inverse = np.linalg.pinv(jacobian.T @ jacobian, hermitian=True)
    return np.asarray(square / free * inverse * values[:, None] * values[None, :])


def _starts(kind: Kind, frequency: Floats, measured: Complex) -> list[Floats]:
    """Return starts read off the curve: ends, peaks and the dip between two peaks."""
    size = np.abs(measured)
    Re = max(float(size.min()) * 0.95, 0.25)
    inner = (size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:])
    peaks = np.flatnonzero(inner) + 1
    peaks = peaks[np.argsort(size[peaks])[::-1]] if peaks.size else np.array([int(np.argmax(size))])
    top = float(max(size[peaks[0]] - Re, Re))
    main = float(frequency[peaks[0]])
    coil = max(float(measured[-1].imag), 1e-3) / (2 * np.pi * float(frequency[-1])) ** 0.8
    if kind == "closed":
        return [np.array([Re, top, main, quality, coil, 0.8]) for quality in (2.0, 6.0)]
    starts = []
    pair = np.sort(frequency[peaks[:2]]) if peaks.size > 1 else np.array([main / 1.8, main])
    low, high = float(pair[0]), float(pair[1])
    for tuning in (np.sqrt(low * high), 0.85 * high):
        for resonance in (0.8 * tuning, 1.1 * tuning):
            ratio = max((high**2 - tuning**2) * (tuning**2 - low**2), 1.0)
            ratio = np.clip(ratio / (tuning * resonance) ** 2, 0.1, 5.0)
            plain = [Re, 1.3 * top, resonance, 5.0, ratio, tuning, 8.0]
            if kind == "passive-radiator":
                plain += [max(low * 0.6, 4.0), 8.0]
            starts.append(np.array([*plain, coil, 0.8]))
    return starts


def _problems(kind: str, share: float) -> tuple[Problem, ...]:
    if share < 0.08:
        return ()
    return (
        Problem(
            kind="fit",
            severity="warning",
            text=f"the sweep differs from that of a {kind} box by {share:.0%} on average",
            remedy="check the sense resistor's value and the channels, or leave the kind open",
        ),
    )


def _checked(frequency_hz: ArrayLike, impedance_ohm: ArrayLike) -> tuple[Floats, Complex]:
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    measured = np.asarray(impedance_ohm, dtype=np.complex128)
    if frequency.ndim != 1 or frequency.shape != measured.shape:
        raise InputError("needs one impedance a frequency", field="impedance_ohm")
    if not (np.isfinite(frequency).all() and np.isfinite(measured).all()):
        raise InputError("holds values that are not numbers", field="impedance_ohm")
    inside = (frequency >= 10) & (frequency <= 200)
    if (np.diff(frequency) <= 0).any() or inside.sum() < 20:
        raise InputError(
            "frequencies have to ascend",
            field="frequency_hz",
            value=int(inside.sum()),
            allowed="at least 20 between 10 and 200 Hz",
        )
    if np.abs(measured).min() < 0.1:
        raise InputError(
            "no loudspeaker has so little impedance",
            field="impedance_ohm",
            value=float(np.abs(measured).min()),
            allowed="0.1 ohm or more; check the value of the sense resistor",
        )
    return frequency, measured
