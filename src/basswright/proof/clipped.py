"""What would the microphone have shown where its input was clipped?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.proof.locate import Place
from basswright.proof.masked import AFTER_S, BEFORE_S, MaskedModel, Responses
from basswright.records.measurement import Sweep

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_STEP = 2.0**-15
_FEWEST = 24
_COSTS = (0.03, 0.3)
_BASS_HZ = np.geomspace(20, 120, 60)


@dataclass(frozen=True, kw_only=True)
class Restored:
    """A recording whose clipped samples were filled from the rest of it.

    Attributes
    ----------
    samples : ndarray, shape (n,)
    clipped_share : float
        Of the samples while the sweep sounds.
    unsure_db : float
        About how far the level may be off for it, at the worst frequency.
    inside_share : float
        Part of the clipped samples whose filled value lies inside the clipping level by
        more than a hundredth, as it cannot.
    """

    samples: NDArray[np.float32]
    clipped_share: float
    unsure_db: float
    inside_share: float


def clipped_samples(samples: NDArray[np.float32]) -> Flags:
    """Return which samples lie at a level at which the input was clipped, shape (n,).

    Clipping heaps samples up at one level: far more of them lie within a narrow band
    below the extreme than in the two bands below, where the round tops of sines leave
    two thirds as many as in the first.
    """
    flags = np.zeros(samples.size, dtype=np.bool_)
    for sign in (1.0, -1.0):
        edge = _edge(samples, sign)
        if edge is not None:
            flags |= sign * samples >= edge
    return flags


def restore(
    samples: NDArray[np.float32], rate_hz: float, sweep: Sweep, *, place: Place, clipped: Flags
) -> Restored:
    """Fill the clipped samples with what the sweep would have given.

    The impulse response (and those of two harmonics) that explains the samples that were
    not clipped best, in the sense of least squares, says what the others would have been.
    How unsure that is: by how much the answer moves when harmonics cost ten times as
    much, and how much of the harmonics' level could hide where the tops are lost.

    Parameters
    ----------
    samples : ndarray, shape (n,)
    rate_hz : float
    sweep : Sweep
    place : Place
        Where it is in the recording.
    clipped : ndarray of bool, shape (n,)
    """
    block = max(1, int(rate_hz // (6 * sweep.stop_hz)))
    first = max(0, int((place.start_s - BEFORE_S - 0.05) * rate_hz))
    length = int((sweep.duration_s * place.stretch + BEFORE_S + AFTER_S) * rate_hz)
    count = min(length, samples.size - first) // block
    span = slice(first, first + count * block)
    part = samples[span].astype(np.float64).reshape(count, block)
    lost = clipped[span].reshape(count, block)
    time = (np.arange(count * block) + first) / rate_hz - place.start_s
    model = MaskedModel.of(time / place.stretch, block, rate_hz, sweep)
    weight: Floats = np.where(lost.any(axis=1), 0.0, 1.0)
    heard: Floats = np.where(weight > 0, part.mean(axis=1), 0.0)
    tried = [model.fitted(heard, weight, harmonic_cost=cost) for cost in _COSTS]
    filled = _upsampled(model.blocks(tried[-1]), block)
    old = samples[span]
    inside = lost.ravel() & (filled * np.sign(old) < 0.99 * np.abs(old))
    new = samples.copy()
    new[span] = np.where(lost.ravel() & ~inside, filled, old)
    return Restored(
        samples=new,
        clipped_share=float(lost.mean()),
        unsure_db=_unsure_db(model, tried, lost.mean(axis=1)),
        inside_share=float(inside.sum() / max(int(lost.sum()), 1)),
    )


def _unsure_db(model: MaskedModel, tried: list[Responses], lost: Floats) -> float:
    levels = [20 * np.log10(np.abs(model.transfer(one[0], _BASS_HZ)) + 1e-12) for one in tried]
    apart = float(np.abs(levels[0] - levels[1]).max())
    energy = model.energies(tried[-1])
    harmonics = float(np.sqrt(sum(energy[1:]) / max(energy[0], 1e-30)))
    window = max(1, round(0.25 * model.rate_hz))
    worst = float(np.convolve(lost, np.ones(window) / window, mode="same").max())
    return float(apart + 2 * 20 / np.log(10) * harmonics * worst**2)


def _upsampled(blocks: Floats, block: int) -> Floats:
    """Return samples whose means over blocks are these: a band-limited curve."""
    count = blocks.size
    spectrum = np.fft.rfft(blocks)
    turns = np.arange(spectrum.size) / (count * block)
    # a mean over a block is a sample in its middle, weakened by sin(x)/x
    spectrum /= np.sinc(turns * block)
    spectrum *= np.exp(-1j * np.pi * turns * (block - 1))
    whole = np.zeros(count * block // 2 + 1, dtype=np.complex128)
    whole[: spectrum.size] = spectrum
    return np.asarray(np.fft.irfft(whole, count * block) * block)


def _edge(samples: NDArray[np.float32], sign: float) -> float | None:
    """Return the level from which on samples of this sign are clipped, or None."""
    signed = sign * samples
    top = float(signed.max())
    if top <= 0 or top < 0.3 * float(-signed.min()):
        return None
    high = np.sort(signed[signed > 0.9 * top])
    steps = np.diff(high)
    step = max(_STEP, float(steps[steps > 0].min()) if (steps > 0).any() else 0.0)
    widest = max(0.012 * top, 4 * step)
    high = np.sort(signed[signed > top - 3 * widest])
    for width in np.geomspace(2 * step, widest, 8):
        ends = np.searchsorted(high, [top - 3 * width, top - width])
        heap, below = high.size - int(ends[1]), int(ends[1] - ends[0])
        if heap >= _FEWEST and heap > 3 * max(below, 1):
            return top - 1.5 * float(width)
    return None
