"""What do several places, or several goes at one place, say together?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.measurement import Measurement, Problem


def average(measurements: Sequence[Measurement]) -> Measurement:
    """Return the power mean of several measurements of the same sweep.

    Level, noise and distortion are averaged as powers; phase and impulse are those of the
    first. `spread_db` is the standard deviation over the places.

    Raises
    ------
    InputError
        None given, different sweeps, or absolute mixed with relative levels.
    """
    if not measurements:
        raise InputError("nothing to average", allowed="at least one measurement")
    first = measurements[0]
    for number, one in enumerate(measurements[1:], 2):
        same = one.frequency_hz.shape == first.frequency_hz.shape
        if not same or not np.allclose(one.frequency_hz, first.frequency_hz):
            raise InputError("was made with another sweep", item=f"measurement {number}")
        if one.absolute != first.absolute:
            raise InputError("absolute and relative levels are mixed", item=f"measurement {number}")
    levels = np.array([one.level_db for one in measurements])
    many = len(measurements) > 1
    return replace(
        first,
        level_db=_power_mean(levels),
        noise_db=_power_mean(np.array([one.noise_db for one in measurements])),
        distortion_db=_power_mean(np.array([one.distortion_db for one in measurements])),
        coherence=np.mean([one.coherence for one in measurements], axis=0),
        spread_db=levels.std(axis=0, ddof=1) if many else np.zeros(levels.shape[1]),
        seats=tuple(seat for one in measurements for seat in one.seats),
        problems=_merged(measurements),
    )


def coherence(measurements: Sequence[Measurement]) -> NDArray[np.float64]:
    """Return the coherence over repeats at one place: ``|mean H|^2 / mean |H|^2``.

    Bias of few repeats is taken out (Bendat & Piersol, "Random Data"): with n repeats of
    pure noise the raw figure is 1/n.

    Raises
    ------
    InputError
        Fewer than two repeats.
    """
    count = len(measurements)
    if count < 2:
        raise InputError("coherence needs repeats", value=count, allowed="at least two")
    first = _complex(measurements[0])
    aligned = np.array([_aligned(_complex(one), first, one.frequency_hz) for one in measurements])
    raw = np.abs(aligned.mean(axis=0)) ** 2 / np.mean(np.abs(aligned) ** 2, axis=0)
    return np.asarray(np.clip((count * raw - 1) / (count - 1), 0.0, 1.0), dtype=np.float64)


def _complex(one: Measurement) -> NDArray[np.complex128]:
    values = 10 ** (one.level_db / 20) * np.exp(1j * one.phase_rad)
    return np.asarray(values, dtype=np.complex128)


def _aligned(
    one: NDArray[np.complex128], first: NDArray[np.complex128], frequency: NDArray[np.float64]
) -> NDArray[np.complex128]:
    """Return one response shifted in time so that it lies best on the first."""
    cross = first * one.conj()
    weight, omega = np.abs(cross), 2 * np.pi * frequency
    late = np.sum(weight * omega * np.unwrap(np.angle(cross))) / np.sum(weight * omega**2)
    return np.asarray(one * np.exp(1j * omega * late), dtype=np.complex128)


def _power_mean(levels_db: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(10 * np.log10(np.mean(10 ** (levels_db / 10), axis=0)), dtype=np.float64)


def _merged(measurements: Sequence[Measurement]) -> tuple[Problem, ...]:
    return tuple(
        replace(problem, text=f"{one.seats[0]}: {problem.text}")
        for one in measurements
        for problem in one.problems
    )
