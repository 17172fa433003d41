"""What a measured impedance tells of a box: a fit on top of what its sheet says.

The most likely unknowns, given sheet and sweep, are found by nonlinear least squares on
the logarithm of the impedance; their covariance is that of the straight-line
approximation there (Laplace). What a sweep cannot tell, such as the cone's area, stays
what the sheet and the priors say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.records.enclosure import Enclosure
from basswright.sound.conditioning import conditioned, proposals
from basswright.sound.contradictions import check_sheets
from basswright.sound.figures import linear_figures
from basswright.sound.flags import sheet_flags
from basswright.sound.grid import checked_grid
from basswright.sound.lumped import lumped
from basswright.sound.models import Array, BoxModels, Source
from basswright.sound.network import Complex, solve
from basswright.sound.priors import UNKNOWNS, prior
from basswright.sound.sheet import Sheets, read_sheets
from basswright.sound.sources import sources

#: Share of the uncertainty that the sweep has to take away for a figure to be measured.
_MEASURED_SHARE: Final = 0.5
#: Least uncertainty of a measured impedance, as a share of it.
_FINEST_SHARE: Final = 0.002
_ROUNDS: Final = 3
_FEWEST: Final = 8
#: Unknown -> parameters of the models that it carries.
_CARRIES: Final = {
    "Re": ("Re_ohm",),
    "fs": ("Cms_m_per_n",),
    "Qms": ("Rms_kg_per_s",),
    "coil time": ("coil_K",),
    "net volume": ("volume_m3",),
    "tuning": ("tuning_hz",),
}


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """One unknown after the fit: middle, 90 % band and where it comes from.

    Attributes
    ----------
    name : str
        One of `UNKNOWNS`; its unit stands beside it there.
    value, low, high : float
        Middle, and the ends of the band.
    source : Source
        "measured" where the sweep took away half of the uncertainty, else "estimated".
    """

    name: str
    value: float
    low: float
    high: float
    source: Source


@dataclass(frozen=True, kw_only=True)
class ImpedanceFit:
    """Outcome of a fit.

    Attributes
    ----------
    models : BoxModels
        The box in d draws, shape (1, d), as `box_models` gives it.
    unknowns : tuple of str
    log_middle : ndarray, shape (u,)
        Natural logarithm of each unknown [-].
    covariance : ndarray, shape (u, u)
        Of those logarithms [-].
    figures : tuple of Fitted
    residual_share : float
        RMS difference between sweep and model, as a share of the impedance [-].
    """

    models: BoxModels
    unknowns: tuple[str, ...]
    log_middle: Array
    covariance: Array
    figures: tuple[Fitted, ...]
    residual_share: float


def fit_impedance(
    enclosure: Enclosure,
    frequency_hz: ArrayLike,
    impedance_ohm: ArrayLike,
    *,
    draws: int,
    seed: int = 0,
) -> ImpedanceFit:
    """Fit the model of a box to a measured impedance.

    Parameters
    ----------
    enclosure : Enclosure
        What the sheet says; it keeps what the sweep cannot tell.
    frequency_hz : array_like, shape (f,)
        8 or more, rising [Hz].
    impedance_ohm : array_like of complex or float, shape (f,)
        At the terminals of the whole box. Real values are taken as magnitudes [ohm].
    draws, seed : int
        As in `box_models`.

    Returns
    -------
    ImpedanceFit

    Raises
    ------
    InputError
        Fewer than 8 frequencies, an impedance that is not finite and above zero, or a
        sheet that contradicts itself.

    Notes
    -----
    Nonlinear least squares (Levenberg and Marquardt) on the logarithm of the impedance and
    on what the sheet says, in three rounds, each with the noise that the last one left. The
    covariance is that of the straight-line approximation at the solution (Laplace). The
    blocked coil is Re + K s^n.

    References
    ----------
    .. [1] W. M. Leach, "Loudspeaker voice-coil inductance losses: circuit models, parameter
       estimation, and effect on frequency response", JAES 50(6), 2002, pp. 442-450.
    .. [2] J. J. Moré, "The Levenberg-Marquardt algorithm: implementation and theory", in
       Numerical Analysis, Lecture Notes in Mathematics 630, Springer, 1978, pp. 105-116.
    """
    grid = checked_grid(frequency_hz)
    measured = _checked(impedance_ohm, grid)
    sheets = read_sheets([enclosure])
    check_sheets([enclosure], sheets)
    mean, spread = prior(sheets)
    belief, covariance = conditioned(mean, spread, linear_figures(sheets, mean))
    miss = _misfit(sheets, grid, measured)
    middle, after, rms = _fitted(belief[0], covariance[0], miss)
    states = proposals(
        middle[None], after[None], ids=[enclosure.id], count=max(draws - 1, 1), seed=seed
    )
    kept = np.concatenate((middle[None, None], states), axis=1)[:, :draws]
    figures = _figures(middle, np.sqrt(np.diag(after)), np.sqrt(np.diag(covariance[0])))
    models = lumped(kept, sheets, ids=[enclosure.id])
    told = sources([enclosure])
    for figure in figures:
        if figure.source == "measured":
            told |= dict.fromkeys(_CARRIES.get(figure.name, ()), ("measured",))
    return ImpedanceFit(
        models=replace(models, sources=told, flags=(sheet_flags(enclosure),)),
        unknowns=UNKNOWNS,
        log_middle=middle,
        covariance=after,
        figures=figures,
        residual_share=rms,
    )


def _checked(impedance_ohm: ArrayLike, grid: Array) -> Complex | Array:
    values = np.asarray(impedance_ohm)
    if values.shape != grid.shape or grid.size < _FEWEST:
        raise InputError(
            "not one impedance for each of the frequencies",
            field="impedance_ohm",
            value=values.shape,
            allowed=f"{_FEWEST} or more, as many as frequencies",
        )
    if not np.all(np.isfinite(values) & (np.abs(values) > 0)):
        raise InputError("not an impedance", field="impedance_ohm", allowed="finite, above zero")
    return values


def _misfit(sheets: Sheets, grid: Array, measured: Complex | Array) -> Callable[[Array], Array]:
    """Return the function that compares a model with the sweep, in logarithms."""
    s = np.asarray(2j * np.pi * grid, dtype=np.complex128)
    phase = np.iscomplexobj(measured)

    def miss(state: Array) -> Array:
        models = lumped(state[None, None], sheets, ids=["fit"])
        apart = np.log(solve(models, s).impedance_ohm[0, 0] / np.abs(measured))
        if not phase:
            return np.asarray(apart.real)
        turned = np.angle(np.exp(1j * (apart.imag - np.angle(measured))))
        return np.concatenate((apart.real, turned))

    return miss


def _fitted(
    belief: Array, covariance: Array, miss: Callable[[Array], Array]
) -> tuple[Array, Array, float]:
    """Return the most likely state, its covariance and the RMS misfit.

    The noise of the sweep is taken from its own misfit, in a few rounds.
    """
    from scipy.optimize import least_squares

    factor = np.linalg.cholesky(covariance + 1e-12 * np.eye(belief.size))
    z, noise = np.zeros(belief.size), 0.05
    for _ in range(_ROUNDS):

        def residuals(z: Array, noise: float = noise) -> Array:
            return np.concatenate((z, miss(belief + factor @ z) / noise))

        found = least_squares(residuals, z, method="lm")
        z = found.x
        rms = float(np.sqrt(np.mean(miss(belief + factor @ z) ** 2)))
        noise = max(rms, _FINEST_SHARE)
    slope = np.array(found.jac, dtype=np.float64)
    spread = np.linalg.inv(slope.T @ slope)
    return belief + factor @ z, np.asarray(factor @ spread @ factor.T), rms


def _figures(middle: Array, after: Array, before: Array) -> tuple[Fitted, ...]:
    return tuple(
        Fitted(
            name=name,
            value=float(np.exp(value)),
            low=float(np.exp(value - 1.645 * now)),
            high=float(np.exp(value + 1.645 * now)),
            source="measured" if now < _MEASURED_SHARE * then else "estimated",
        )
        for name, value, now, then in zip(UNKNOWNS, middle, after, before, strict=True)
    )
