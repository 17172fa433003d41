"""The cabin after a measurement: the model's unknowns fitted, the rest as a correction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError
from basswright.sound.cabin.model import (
    CabinModel,
    ComplexArray,
    EstimatedCabin,
    FloatArray,
    check_frequency,
    check_points,
)
from basswright.sound.cabin.spread import smooth_errors
from basswright.sound.cabin.unknowns import NAMES, SPREAD, Unknowns, ensemble, unknowns

#: What the fitted model may still miss where it was measured [dB]; taken up by the
#: correction, and kept as noise so that the unknowns are not bent to follow it.
_MISFIT_DB = 1.0
#: What moving the box adds: at these frequencies [ln Hz] one standard deviation of so many
#: dB; see docs/cabin.md.
_MOVE = (np.log([25.0, 50.0, 100.0]), (0.4, 0.7, 1.3))
_NEPER = 20 / np.log(10)
_ROUNDS = 12


@dataclass(frozen=True, kw_only=True)
class MeasuredCabin(CabinModel):
    """A model whose unknowns a measurement has narrowed down.

    Attributes
    ----------
    name, why : str
    base : EstimatedCabin
    centre, root : ndarray
        Fitted unknowns and a square root of their covariance.
    frequency_hz : ndarray, shape (m,)
    logarithm : ndarray of complex, shape (m,)
        Natural logarithm of the measured transfer function; the imaginary part is the
        fitted model's own where no phase was measured.
    spread_db : ndarray, shape (m,)
        Uncertainty of the measurement, one standard deviation [dB].
    cone_m : ndarray, shape (3,)
        Where the source stood.
    """

    name: str
    why: str
    base: EstimatedCabin
    centre: FloatArray
    root: FloatArray
    frequency_hz: FloatArray
    logarithm: ComplexArray
    spread_db: FloatArray
    cone_m: FloatArray

    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return the base model's shapes at n places, shape (n, r)."""
        return self.base.shapes(cone_m)

    def amplitudes(self, frequency_hz: FloatArray, draws: int, seed: int) -> ComplexArray:
        """Return each shape's amplitude [Pa s/m3], shape (draws, f, r).

        Every draw is corrected so that it agrees with the measurement, within the
        measurement's own uncertainty, where the source stood.
        """
        sample = unknowns(draws, seed, centre=self.centre, root=self.root)
        noise = np.log(smooth_errors(self.frequency_hz, draws, seed + 1, spread_db=1.0))
        spread = np.interp(np.log(frequency_hz), *_MOVE)
        moved = smooth_errors(frequency_hz, draws, seed, spread_db=spread)
        answer = self._corrected(frequency_hz, sample, noise * self.spread_db)
        return answer * moved[:, :, None]

    def members(self, frequency_hz: FloatArray, count: int) -> ComplexArray:
        """Return the amplitudes of cars that agree with the measurement, (count, f, r)."""
        sample = ensemble(count, centre=self.centre, root=self.root)
        return self._corrected(frequency_hz, sample, np.zeros(1))

    def _corrected(
        self, frequency_hz: FloatArray, sample: Unknowns, noise: ComplexArray | FloatArray
    ) -> ComplexArray:
        there = _logarithm(self.base, self.frequency_hz, self.cone_m, sample)
        off = (self.logarithm - there) + noise
        off = off.real + 1j * np.unwrap(off.imag, axis=1)
        at, known = np.log(frequency_hz), np.log(self.frequency_hz)
        real = np.stack([np.interp(at, known, row) for row in off.real])
        imag = np.stack([np.interp(at, known, row) for row in off.imag])
        factor = np.exp(real + 1j * imag)
        return self.base.respond(frequency_hz, sample) * factor[:, :, None]


def measured_cabin(
    base: EstimatedCabin,
    frequency_hz: ArrayLike,
    *,
    cone_m: ArrayLike,
    transfer: ArrayLike | None = None,
    level_db: ArrayLike | None = None,
    spread_db: ArrayLike = 0.5,
) -> MeasuredCabin:
    """Return the cabin after a measurement from one place of the box to the ear.

    The unknowns (leak, damping, give of the walls, opening of the boot, the ear's exact
    place) are fitted with their priors; what the fit leaves is kept as a correction.
    So the model is right where it was measured and better everywhere else.

    Parameters
    ----------
    base : EstimatedCabin
        The model from readings, as :func:`basswright.sound.cabin.cabin_for` gives it.
    frequency_hz : array_like, shape (m,)
        Rising.
    cone_m : array_like, shape (3,)
        Where the source stood [m].
    transfer : array_like of complex, shape (m,), optional
        Pressure at the ear over volume velocity [Pa s/m3].
    level_db : array_like, shape (m,), optional
        Its level re 1 Pa s/m3 where no phase was measured [dB].
    spread_db : array_like
        Standard deviation of the measurement [dB]: one figure, one for each frequency,
        or a covariance of shape (m, m) in dB².

    Raises
    ------
    InputError
        Neither or both of transfer and level, lengths that differ, frequencies that do
        not rise, a zero or a value that is not finite.

    References
    ----------
    Maximum a posteriori by Gauss-Newton steps: Tarantola, Inverse Problem Theory
    (SIAM 2005), section 3.4.
    """
    frequency = check_frequency(frequency_hz)
    place = check_points(cone_m)[0]
    measured, has_phase = _measured(frequency, transfer, level_db)
    covariance = _covariance(spread_db, len(frequency))
    centre, root = _fit(base, frequency, place, measured, covariance, has_phase)
    if not has_phase:
        own = _logarithm(base, frequency, place, Unknowns(centre[None]))[0]
        measured = measured.real + 1j * own.imag
    return MeasuredCabin(
        name=f"measured cabin on {base.name}",
        why=f"a measurement of {len(frequency)} frequencies from "
        f"{frequency[0]:.0f} to {frequency[-1]:.0f} Hz is kept for this car",
        base=base,
        centre=centre,
        root=root,
        frequency_hz=frequency,
        logarithm=measured,
        spread_db=np.sqrt(np.diag(covariance)),
        cone_m=place,
    )


def _measured(
    frequency: FloatArray, transfer: ArrayLike | None, level_db: ArrayLike | None
) -> tuple[ComplexArray, bool]:
    if (transfer is None) == (level_db is None):
        raise InputError("a measurement is either complex or a level", field="transfer")
    if np.any(np.diff(frequency) <= 0):
        raise InputError("frequencies do not rise", field="frequency_hz")
    field = "level_db" if transfer is None else "transfer"
    raw = np.asarray(level_db if transfer is None else transfer)
    if raw.shape != frequency.shape:
        raise InputError(
            "not as many values as frequencies",
            field=field,
            value=raw.shape,
            allowed=str(frequency.shape),
        )
    if not np.all(np.isfinite(raw)) or (transfer is not None and np.any(raw == 0)):
        raise InputError("a value that is zero or not finite", field=field)
    if transfer is None:
        return (raw / _NEPER).astype(complex), False
    value = np.log(raw.astype(complex))
    return np.asarray(value.real + 1j * np.unwrap(value.imag)), True


def _covariance(spread_db: ArrayLike, count: int) -> FloatArray:
    spread = np.asarray(spread_db, dtype=float)
    if spread.ndim == 2:
        covariance = spread
    elif spread.ndim < 2 and spread.size in (1, count):
        covariance = np.diag(np.broadcast_to(spread, (count,)) ** 2)
    else:
        covariance = np.empty((0, 0))
    good = covariance.shape == (count, count) and np.all(np.isfinite(covariance))
    if not good or np.any(np.diag(covariance) < 0):
        raise InputError(
            "not a spread of the measurement",
            field="spread_db",
            value=spread.shape,
            allowed=f"one figure, {count} figures or a {count} by {count} covariance",
        )
    return np.asarray(covariance)


def _logarithm(
    base: EstimatedCabin, frequency: FloatArray, place: FloatArray, sample: Unknowns
) -> ComplexArray:
    value = base.respond(frequency, sample) @ base.shapes(place[None])[0]
    logarithm = np.log(value)
    return np.asarray(logarithm.real + 1j * np.unwrap(logarithm.imag, axis=1))


def _fit(
    base: EstimatedCabin,
    frequency: FloatArray,
    place: FloatArray,
    measured: ComplexArray,
    covariance: FloatArray,
    has_phase: bool,
) -> tuple[FloatArray, FloatArray]:
    count, unknown = len(frequency), len(NAMES)
    noise = (covariance + _MISFIT_DB**2 * np.eye(count)) / _NEPER**2
    weight = np.linalg.inv(noise)
    step = 0.02
    trials = np.vstack([np.zeros(unknown), step * np.diag(SPREAD)])

    def residual(values: FloatArray) -> tuple[FloatArray, FloatArray]:
        log = _logarithm(base, frequency, place, Unknowns(values))
        real = measured.real - log.real
        turn = np.angle(np.exp(1j * (measured.imag - log.imag))) if has_phase else 0 * real
        return real, turn

    def cost(values: FloatArray) -> float:
        parts = residual(values[None])
        prior = float(np.sum((values / SPREAD) ** 2))
        return prior + sum(float(part[0] @ weight @ part[0]) for part in parts)

    centre, damping = np.zeros(unknown), 1e-2
    now = cost(centre)
    normal = np.diag(SPREAD**-2)
    for _ in range(_ROUNDS):
        normal, slope = np.diag(SPREAD**-2), -centre / SPREAD**2
        for part in residual(centre + trials):
            jacobian = -(part[1:] - part[0]).T / (step * SPREAD)
            normal = normal + jacobian.T @ weight @ jacobian
            slope = slope + jacobian.T @ weight @ part[0]
        trial = centre + np.linalg.solve(normal + damping * np.diag(np.diag(normal)), slope)
        after = cost(trial)
        if after < now:
            settled = now - after < 1e-3 * now
            centre, now, damping = trial, after, damping / 5
            if settled:
                break
        else:
            damping = damping * 8
    return centre, np.asarray(np.linalg.cholesky(np.linalg.inv(normal)))
