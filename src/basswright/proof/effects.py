"""What a fault of a given strength does to each reading that can be taken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.proof.plant import Change, Facts, Plant
from basswright.records.tuning import PassFilter
from basswright.tuning.filters import pass_db

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Effect:
    """One fault at one strength.

    Attributes
    ----------
    setting : str
        The strength, in a person's words.
    weight : float
        How likely this strength is before anything was measured, within the fault.
    level_db : ndarray, shape (f,)
        Change of the level at the ear, middle draw.
    draws_db : ndarray, shape (d, f), or None
        The same in every draw of the plan; None where no draw differs.
    compression_db : ndarray, shape (f,)
        Level of the loud recording against the quiet one, both re full scale.
    close_db : ndarray, shape (f,)
        Change of the level a finger's breadth from where the plan has the cone.
    close_draws_db : ndarray, shape (d, f), or None
        The same close to the cone in every draw, each against itself as planned.
    resistance_ratio : float
        Resistance at the terminals over the planned one.
    tone_db : float
        Voltage at the terminals with the set-up tone, against the planned one.
    front_sum : int
        1 where bass and front speakers add up, -1 where they cancel.
    """

    setting: str
    weight: float
    level_db: Floats
    compression_db: Floats
    close_db: Floats
    draws_db: Floats | None = None
    close_draws_db: Floats | None = None
    resistance_ratio: float = 1.0
    tone_db: float = 0.0
    front_sum: int = 1


def flat(plant: Plant, level_db: float, *, setting: str, weight: float) -> Effect:
    """Return an effect that changes every frequency alike, as a voltage does."""
    curve = np.full(plant.frequency_hz.shape, level_db)
    return Effect(
        setting=setting,
        weight=weight,
        level_db=curve,
        compression_db=np.zeros_like(curve),
        close_db=curve,
        tone_db=level_db,
    )


def changed(plant: Plant, change: Change, *, setting: str, weight: float) -> Effect:
    """Return what a change of box or cabin does, from the models."""
    base = Change()
    draws = _ratio_db(plant.pressure(change), plant.pressure(base))
    level = draws[0]
    close = _ratio_db(plant.near(change), plant.near(base))
    return Effect(
        setting=setting,
        weight=weight,
        level_db=level,
        compression_db=np.zeros_like(level),
        close_db=close[0],
        draws_db=draws,
        close_draws_db=close,
        resistance_ratio=1 / change.coil_share,
    )


def low_pass_db(frequency_hz: Floats, corner_hz: float) -> Floats:
    """Return the level of the fourth-order Butterworth low-pass of the plan [dB]."""
    setting = PassFilter(family="butterworth", frequency_hz=corner_hz, slope_db_per_octave=24)
    return pass_db(frequency_hz, setting, high=False)


def supply_compression_db(
    plant: Plant, *, supply_ohm: float, played_dbfs: float, engine_v: float | None = None
) -> Floats:
    """Return how far a sine at this level is held down by the sagging supply [dB].

    The most that an unregulated amplifier gives follows its supply, ``U = U0 V / Vr``,
    and draws ``I = U^2 Re(1/Z) / (eta V)`` through the resistance R of the feed. Both
    together: ``V = Vs / (1 + R U0^2 Re(1/Z) / (eta Vr^2))``. Beyond it the sine is
    clipped, and its fundamental is that of a clipped sine (describing function of a
    saturation: Gelb & Vander Velde, "Multiple-Input Describing Functions", 1968).
    """
    facts = plant.facts
    conductance = np.maximum(np.real(1 / plant.impedance(Change())), 1e-4)
    full = facts.amplifier_voltage_v
    sag = supply_ohm * full**2 * conductance / (facts.efficiency_share * facts.rated_supply_v**2)
    most = full * (engine_v or facts.supply_v) / facts.rated_supply_v / (1 + sag)
    chain = 10 ** (low_pass_db(plant.frequency_hz, facts.low_pass_hz) / 20)
    wanted = facts.gain_voltage_v * 10 ** (played_dbfs / 20) * chain
    over = np.minimum(most / wanted, 1.0)
    share = 2 / np.pi * (np.arcsin(over) + over * np.sqrt(1 - over**2))
    return np.asarray(20 * np.log10(share), dtype=np.float64)


def wiring_effects(plant: Plant) -> list[Effect]:
    """Return every other way in which the coils may have been joined.

    Equal coils in s series rows of p: resistance s/p of one coil's; the force for a
    volt goes with the root of that, so the level changes by -10 log10 of the ratio.
    """
    coils, effects = plant.facts.coils, []
    ratios = _other_ratios(plant.facts)
    for ratio, name in ratios:
        effects += _other_load(plant, ratio, name)
    if coils >= 2 and plant.facts.in_series in (None, 1):
        half = Change(coil_share=0.5)
        words = "half of the coils not connected"
        effects.append(changed(plant, half, setting=words, weight=1.0))
    return effects


def _other_ratios(facts: Facts) -> list[tuple[float, str]]:
    """Return load over planned load of every other arrangement, with its name."""
    coils = facts.coils
    ways = [series for series in range(1, coils + 1) if coils % series == 0]
    names = {way: f"{way} in series, {coils // way} in parallel" for way in ways}
    if facts.in_series is not None:
        planned = facts.in_series**2
        return [(way**2 / planned, names[way]) for way in ways if way != facts.in_series]
    if coils == 1:
        return []
    return [(4.0, "in series instead of parallel"), (0.25, "in parallel instead of series")]


def _other_load(plant: Plant, ratio: float, name: str) -> list[Effect]:
    level = -10 * np.log10(ratio)
    drops = (0.0,) if ratio > 1 else (0.0, -2.0, -4.0, -6.0)
    found = []
    for drop in drops:
        curve = np.full(plant.frequency_hz.shape, level)
        found.append(
            Effect(
                setting=f"coils joined {name}: the load is {ratio:.2g} times the planned one",
                weight=1.0 / len(drops),
                level_db=curve,
                compression_db=np.full_like(curve, drop),
                close_db=curve,
                resistance_ratio=ratio,
            )
        )
    return found


def _ratio_db(one: NDArray[np.complex128], other: NDArray[np.complex128]) -> Floats:
    return np.asarray(
        20 * np.log10(np.maximum(np.abs(one), 1e-15) / np.maximum(np.abs(other), 1e-15)),
        dtype=np.float64,
    )
