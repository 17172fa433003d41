"""Was the promise kept, and if not, what is the likeliest cause?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.proof.effects import Effect, flat, low_pass_db
from basswright.proof.faults import FAULTS, Fault
from basswright.proof.likelihood import (
    Belief,
    Evidence,
    Readings,
    close_belief,
    extra_covariance,
    log_likelihood,
    sum_index,
    uncovered_db,
)
from basswright.proof.plant import Change, Plant
from basswright.proof.separate import groups_and_readings
from basswright.records.measurement import Cause, Measurement, Problem, Proof
from basswright.records.system import Prediction

Floats = NDArray[np.float64]

_BAND_TO_SIGMA = 2 * 1.6449  # a 90 % band of a normal distribution is so many sigma wide
_REFERENCE_PA = 20e-6
NOTHING = "nothing wrong"
_BOOT_WALLS = Problem(
    kind="close to the cone",
    severity="note",
    text="the recording close to the cone was left out: in a boot that is closed off its walls "
    "decide what is heard there",
)


def compare(
    measured: Measurement,
    prediction: Prediction,
    *,
    plant: Plant | None = None,
    evidence: Evidence | None = None,
    promised_hz: tuple[float, float] | None = None,
) -> Proof:
    """Compare a measurement of the bass box alone with what was promised.

    Parameters
    ----------
    measured : Measurement
        Bass box alone, at the driver's ear.
    prediction : Prediction
        As it was when the system was sold.
    plant : Plant, optional
        Model of what was fitted; without it no causes are given.
    evidence : Evidence, optional
        Further readings.
    promised_hz : tuple of float, optional
        Range of the promise; else from the low limit (-10 dB) to 80 Hz.

    Raises
    ------
    InputError
        Measurement not usable, or it shares too few frequencies with the prediction.
    """
    if not measured.usable:
        reasons = "; ".join(p.text for p in measured.problems if p.severity == "unusable")
        raise InputError(f"this recording cannot prove anything: {reasons}", item="measurement")
    span = promised_hz or (max(prediction.low_limit_10db_hz[1], 16.0), 80.0)
    grid = _grid(measured, prediction)
    promise = _Promise.on(grid, measured, prediction, span)
    bands, margins = promise.by_third_octave()
    missed = tuple(
        f"{band:g} Hz: {-margin:.1f} dB below the band"
        for band, margin in zip(bands, margins, strict=True)
        if margin < 0
    )
    proof = Proof(
        kept=not missed,
        frequency_hz=grid,
        measured_db=promise.measured,
        predicted_db=promise.middle,
        low_db=promise.low,
        high_db=promise.high,
        bands_hz=bands,
        band_margin_db=margins,
        where_not=missed,
        problems=measured.problems + promise.problems,
    )
    return proof if plant is None else _with_causes(proof, measured, plant, evidence or Evidence())


@dataclass(frozen=True, kw_only=True)
class _Promise:
    grid: Floats
    measured: Floats
    middle: Floats
    low: Floats
    high: Floats
    span: tuple[float, float]
    problems: tuple[Problem, ...]

    @classmethod
    def on(
        cls, grid: Floats, measured: Measurement, prediction: Prediction, span: tuple[float, float]
    ) -> _Promise:
        def at(values: Floats, frequency: Floats = prediction.frequency_hz) -> Floats:
            return np.interp(np.log(grid), np.log(frequency), values)

        level = at(measured.level_db, measured.frequency_hz)
        middle = at(prediction.level_db)
        problems: tuple[Problem, ...] = ()
        if not measured.absolute:
            inside = (grid >= span[0]) & (grid <= span[1])
            level = level + float((middle - level)[inside].mean())
            problems = (
                Problem(
                    kind="relative level",
                    severity="warning",
                    text="the microphone's level is not known: only the shape of the response "
                    "was compared, not how loud it is",
                    remedy="use a calibrated microphone, or note a level meter's reading",
                ),
            )
        return cls(
            grid=grid,
            measured=level,
            middle=middle,
            low=at(prediction.level_low_db),
            high=at(prediction.level_high_db),
            span=span,
            problems=problems,
        )

    def by_third_octave(self) -> tuple[Floats, Floats]:
        """Return nominal bands (IEC 61260-1, base ten) and measured less lower edge."""
        first = int(np.ceil(10 * np.log10(self.span[0]) - 0.5))
        last = int(np.floor(10 * np.log10(self.span[1]) + 0.5))
        centres, margins = [], []
        for index in range(first, last + 1):
            centre = 10 ** (index / 10)
            inside = np.abs(10 * np.log10(self.grid / centre)) <= 0.5
            if inside.any():
                centres.append(round(centre, 1))
                level, low = (_mean_db(values[inside]) for values in (self.measured, self.low))
                margins.append(level - low)
        return np.array(centres), np.array(margins)


def _with_causes(proof: Proof, measured: Measurement, plant: Plant, evidence: Evidence) -> Proof:
    readings = reduce(proof, measured, plant, evidence)
    causes, effects = rank(readings, plant, measured, evidence)
    nothing = next(one.share for one in causes if one.fault == NOTHING)
    named = tuple(one for one in causes if one.fault != NOTHING)
    groups, separating = groups_and_readings(causes, effects, has_boot=plant.facts.has_boot)
    if proof.kept and nothing > 0.2:
        check = ""
    else:
        check = separating[0] if separating else named[0].check_next
    problems = proof.problems
    if evidence.close is not None and plant.facts.has_boot:
        problems += (_BOOT_WALLS,)
    return replace(
        proof,
        problems=problems,
        causes=named,
        nothing_share=nothing,
        cannot_tell=groups,
        separating_reading=separating,
        check_next=check,
    )


def reduce(proof: Proof, measured: Measurement, plant: Plant, evidence: Evidence) -> Readings:
    """Return all readings as numbers on the frequencies where the faults are modelled."""
    frequency, grid = proof.frequency_hz, plant.frequency_hz
    if grid[0] < frequency[0] * 0.97 or grid[-1] > frequency[-1] * 1.03:
        raise InputError(
            "the measurement does not cover the frequencies of the model",
            field="frequency_hz",
            value=f"{frequency[0]:.0f} to {frequency[-1]:.0f} Hz",
            allowed=f"{grid[0]:.0f} to {grid[-1]:.0f} Hz",
        )

    def at(values: Floats, old: Floats = frequency) -> Floats:
        return np.interp(np.log(grid), np.log(old), values)

    sigma = (at(proof.high_db) - at(proof.low_db)) / _BAND_TO_SIGMA
    weak = np.minimum(measured.noise_db - measured.level_db, 6.0)
    noise = 20 / np.log(10) * 10 ** (weak / 20)
    white = at(np.hypot(noise, measured.spread_db), measured.frequency_hz)
    belief = _belief(plant, sigma=sigma, white=white, absolute=measured.absolute)
    compression = None
    if evidence.loud is not None:
        loud = evidence.loud
        compression = at(loud.level_db, loud.frequency_hz) - at(
            measured.level_db, measured.frequency_hz
        )
    index = None
    if evidence.front is not None and evidence.together is not None:
        index = sum_index(
            measured,
            evidence.front,
            evidence.together,
            crossover_hz=plant.facts.low_pass_hz,
        )
    close, belief_close = None, None
    if evidence.close is not None and not plant.facts.has_boot:
        close, belief_close = _close_to_the_cone(evidence.close, plant)
    ohm, tone = evidence.resistance_ohm, evidence.tone_voltage_share
    return Readings(
        frequency_hz=grid,
        difference_db=at(proof.measured_db - proof.predicted_db),
        belief=belief,
        compression_db=compression,
        close_db=close,
        close_belief=belief_close,
        sum_index=index,
        resistance_ratio=None if ohm is None else ohm / plant.facts.resistance_ohm,
        tone_db=None if tone is None else float(20 * np.log10(max(tone, 1e-6))),
    )


def _close_to_the_cone(close: Measurement, plant: Plant) -> tuple[Floats, Belief]:
    """Return how much louder it is close to the cone than planned [dB], and how unsure."""
    grid, facts = plant.frequency_hz, plant.facts
    volts = facts.gain_voltage_v * 10 ** (low_pass_db(grid, facts.low_pass_hz) / 20)
    pressure = np.maximum(np.abs(plant.near(Change())) * volts, 1e-12)
    planned = 20 * np.log10(pressure / _REFERENCE_PA)
    heard = np.interp(np.log(grid), np.log(close.frequency_hz), close.level_db)
    belief = close_belief(planned, grid, absolute=close.absolute)
    return np.asarray(heard - planned[0], dtype=np.float64), belief


def _belief(plant: Plant, *, sigma: Floats, white: Floats, absolute: bool) -> Belief:
    level = 20 * np.log10(np.maximum(np.abs(plant.pressure(Change())), 1e-15))
    draws = level - level[0]
    spread = np.maximum(draws.std(axis=0), 1e-9)
    # A band that was narrowed by a measurement leaves less open than the draws do.
    known = np.minimum(sigma / spread, 1.0)
    least = uncovered_db(plant.frequency_hz, has_boot=plant.facts.has_boot) * known
    beyond = np.sqrt(np.maximum(sigma**2 - (known * spread) ** 2, least**2))
    draws = draws * known
    extra = extra_covariance(
        plant.frequency_hz, beyond_db=beyond, white_db=white, absolute=absolute
    )
    return Belief(draws_db=draws, extra=extra)


def rank(
    readings: Readings,
    plant: Plant,
    measured: Measurement,
    evidence: Evidence,
    faults: Sequence[Fault] = FAULTS,
) -> tuple[tuple[Cause, ...], dict[str, Effect]]:
    """Return the causes, likeliest first, and each one's best effect."""
    loud_dbfs = evidence.loud.played_dbfs if evidence.loud else measured.played_dbfs
    found: list[tuple[str, str, float, Effect]] = []
    nothing = flat(plant, 0.0, setting="as planned", weight=1.0)
    found.append((NOTHING, "", log_likelihood(readings, nothing), nothing))
    for fault in faults:
        effects = fault.effects(plant, played_dbfs=measured.played_dbfs, loud_dbfs=loud_dbfs)
        if effects:
            score, best = _evidence(readings, effects)
            found.append((fault.name, fault.check_next, score, best))
    scores = np.array([score for _, _, score, _ in found])
    shares = np.exp(scores - scores.max())
    shares /= shares.sum()
    causes = [
        _cause(readings, name, check, float(share), effect)
        for (name, check, _, effect), share in zip(found, shares, strict=True)
    ]
    causes.sort(key=lambda one: -one.share)
    return tuple(causes), {name: effect for name, _, _, effect in found}


def _evidence(readings: Readings, effects: Sequence[Effect]) -> tuple[float, Effect]:
    """Return the logarithm of the evidence over all strengths, and the best strength."""
    scores = np.array([log_likelihood(readings, effect) for effect in effects])
    weights = np.array([effect.weight for effect in effects])
    posterior = scores + np.log(weights / weights.sum())
    top = posterior.max()
    best = effects[int(np.argmax(posterior))]
    return float(top + np.log(np.exp(posterior - top).sum())), best


def _cause(readings: Readings, name: str, check: str, share: float, effect: Effect) -> Cause:
    before, after = readings.difference_db, readings.difference_db - effect.level_db
    explained = 1 - float(after @ after) / max(float(before @ before), 1e-12)
    return Cause(
        fault=name,
        share=share,
        explained_share=max(0.0, explained),
        residual_db=float(np.sqrt(np.mean(after**2))),
        setting=effect.setting,
        check_next=check,
        curve_db=effect.level_db,
    )


def _grid(measured: Measurement, prediction: Prediction) -> Floats:
    low = max(measured.frequency_hz[0], prediction.frequency_hz[0])
    high = min(measured.frequency_hz[-1], prediction.frequency_hz[-1])
    if high < 2 * low:
        raise InputError(
            "measurement and prediction share too few frequencies",
            field="frequency_hz",
            value=f"{low:.0f} to {high:.0f} Hz",
            allowed="at least an octave in common",
        )
    return np.geomspace(low, high, round(24 * np.log2(high / low)) + 1)


def _mean_db(levels: Floats) -> float:
    return float(10 * np.log10(np.mean(10 ** (levels / 10))))
