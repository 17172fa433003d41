"""Which impulse responses explain the part of a recording that can be trusted?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.records.measurement import Sweep
from basswright.tuning.signals import chirp_phase, chirp_window

Floats = NDArray[np.float64]
Responses = list[Floats]

#: Harmonic number, and how long its impulse response is taken, before and after [s].
_PARTS = ((1, 0.25, 0.8), (2, 0.1, 0.3), (3, 0.1, 0.3))
BEFORE_S, AFTER_S = _PARTS[0][1:]
_REGULAR = 1e-4
_ROUNDS = 250
_SETTLED = 1e-5


@dataclass(frozen=True, kw_only=True)
class MaskedModel:
    """Means over short blocks of a sum of impulse responses, each on its own harmonic.

    Attributes
    ----------
    spectra : tuple of ndarray of complex
        Of the sweep and its harmonics, as means over blocks.
    taps : tuple of (before, after)
        Length of each response in blocks.
    rate_hz : float
        Blocks a second.
    size, count : int
        Length of the transforms, and of the recording, in blocks.
    """

    spectra: tuple[NDArray[np.complex128], ...]
    taps: tuple[tuple[int, int], ...]
    rate_hz: float
    size: int
    count: int

    @classmethod
    def of(cls, time_s: Floats, block: int, rate_hz: float, sweep: Sweep) -> MaskedModel:
        """Return the model for samples at these times from the sweep's start."""
        rate, count = rate_hz / block, time_s.size // block
        taps = tuple((round(before * rate), round(after * rate)) for _, before, after in _PARTS)
        size = 1 << int(np.ceil(np.log2(count + sum(taps[0]))))
        window, phase = chirp_window(time_s, sweep), chirp_phase(time_s, sweep)
        waves = (
            (window * np.sin(number * phase)).reshape(count, block).mean(axis=1)
            for number, _, _ in _PARTS
        )
        spectra = tuple(np.fft.rfft(wave, size) for wave in waves)
        return cls(spectra=spectra, taps=taps, rate_hz=rate, size=size, count=count)

    def blocks(self, responses: Responses) -> Floats:
        """Return the means over blocks that these impulse responses give, shape (n,)."""
        total = sum(
            spectrum * self._spectrum(one, taps)
            for spectrum, one, taps in zip(self.spectra, responses, self.taps, strict=True)
        )
        return np.asarray(np.fft.irfft(total, self.size)[: self.count])

    def fitted(self, heard: Floats, weight: Floats, *, harmonic_cost: float) -> Responses:
        """Return the responses that explain the blocks of weight 1 best.

        Parameters
        ----------
        heard, weight : ndarray, shape (n,)
        harmonic_cost : float
            What the energy of a harmonic costs against that of the misfit. Where tops are
            lost, a third harmonic and a weaker fundamental look alike; the cost decides
            for the fundamental.

        Notes
        -----
        Preconditioned conjugate gradients on the normal equations (M. R. Hestenes and
        E. Stiefel, J. Res. NBS 49(6), 1952); the preconditioner is the inverse of each
        wave's power spectrum.
        """
        powers = [np.abs(spectrum) ** 2 for spectrum in self.spectra]
        inverse = [1 / (power + _REGULAR * power.max()) for power in powers]
        costs = [0.0 * powers[0], *(harmonic_cost * power for power in powers[1:])]
        none = np.zeros(self.size // 2 + 1, dtype=np.complex128)
        responses = [np.zeros(sum(taps)) for taps in self.taps]
        rest = self._gathered(heard * weight, [none] * len(costs))
        ready = self._filtered(rest, inverse)
        step = ready
        slope = begun = _inner(rest, ready)
        for _ in range(_ROUNDS):
            if slope <= _SETTLED**2 * begun:
                break
            whole = [self._spectrum(one, taps) for one, taps in zip(step, self.taps, strict=True)]
            total = sum(wave * one for wave, one in zip(self.spectra, whole, strict=True))
            given = np.fft.irfft(total, self.size)[: self.count] * weight
            moved = self._gathered(given, [a * b for a, b in zip(costs, whole, strict=True)])
            length = slope / _inner(step, moved)
            responses = [one + length * by for one, by in zip(responses, step, strict=True)]
            rest = [one - length * by for one, by in zip(rest, moved, strict=True)]
            ready = self._filtered(rest, inverse)
            slope, before = _inner(rest, ready), slope
            step = [one + slope / before * by for one, by in zip(ready, step, strict=True)]
        return responses

    def transfer(self, response: Floats, frequency_hz: Floats) -> NDArray[np.complex128]:
        """Return the transfer function of the first response [1], shape (f,)."""
        time = (np.arange(response.size) - self.taps[0][0]) / self.rate_hz
        turned = np.exp(-2j * np.pi * frequency_hz[:, None] * time)
        return np.asarray(turned @ response, dtype=np.complex128)

    def energies(self, responses: Responses) -> list[float]:
        """Return the energy that each part gives."""
        return [
            float(np.sum(np.abs(wave * self._spectrum(one, taps)) ** 2))
            for wave, one, taps in zip(self.spectra, responses, self.taps, strict=True)
        ]

    def _spectrum(self, response: Floats, taps: tuple[int, int]) -> NDArray[np.complex128]:
        before, after = taps
        placed = np.zeros(self.size)
        placed[:after] = response[before:]
        placed[self.size - before :] = response[:before]
        return np.fft.rfft(placed)

    def _cut(self, spectrum: NDArray[np.complex128], taps: tuple[int, int]) -> Floats:
        circular = np.fft.irfft(spectrum, self.size)
        return np.concatenate([circular[self.size - taps[0] :], circular[: taps[1]]])

    def _gathered(self, values: Floats, more: list[NDArray[np.complex128]]) -> Responses:
        """Return the transpose of :meth:`blocks` applied to values, plus what it costs."""
        spectrum = np.fft.rfft(values, self.size)
        return [
            self._cut(spectrum * wave.conj() + extra, taps)
            for wave, extra, taps in zip(self.spectra, more, self.taps, strict=True)
        ]

    def _filtered(self, responses: Responses, filters: list[Floats]) -> Responses:
        return [
            self._cut(one_filter * self._spectrum(one, taps), taps)
            for one_filter, one, taps in zip(filters, responses, self.taps, strict=True)
        ]


def _inner(one: Responses, other: Responses) -> float:
    return float(sum(a @ b for a, b in zip(one, other, strict=True)))
