"""Rooms with a known answer, and recordings made in them."""

import numpy as np

from basswright.records.measurement import Recording, Sweep
from basswright.tuning import signals


def known_room(frequency_hz, seed=0):
    """Closed form: a high-pass, a pressure mode, three room modes, a low-pass."""
    random = np.random.default_rng(seed)
    s = 2j * np.pi * np.asarray(frequency_hz, dtype=float)

    def resonance(hz, quality):
        w = 2 * np.pi * hz
        return s * w / quality / (s**2 + s * w / quality + w**2)

    w0 = 2 * np.pi * 42
    box = s**2 / (s**2 + s * w0 / 0.8 + w0**2)
    pressure = (2 * np.pi * 70) ** 2 / (s**2 + s * 2 * np.pi * 10 + (2 * np.pi * 20) ** 2)
    modes = sum(
        weight * resonance(hz * random.uniform(0.95, 1.05), quality)
        for hz, quality, weight in ((65, 6, 1.0), (90, 8, -0.6), (130, 10, 0.5))
    )
    wl = 2 * np.pi * 100
    low_pass = 1 / ((s / wl) ** 2 + np.sqrt(2) * s / wl + 1) ** 2
    return 0.3 * box * (0.4 * pressure + modes) * low_pass * np.exp(-0.006 * s)


def played(sweep, *, rate, drift=0.0, lead_s=1.37, tail_s=2.0):
    """The file on the recorder's clock, which runs fast by `drift`."""
    count = int((sweep.total_s * (1 + drift) + lead_s + tail_s) * rate)
    time = (np.arange(count) / rate - lead_s) / (1 + drift)
    amplitude = 10 ** (sweep.level_dbfs / 20)
    total = signals.chirp(
        sweep.start_hz,
        sweep.stop_hz,
        time_s=time - signals.sweep_start_s(sweep),
        duration_s=sweep.duration_s,
        amplitude=amplitude,
    )
    for start in signals.marker_starts_s(sweep):
        total += signals.chirp(
            sweep.marker_start_hz,
            sweep.marker_stop_hz,
            time_s=time - start,
            duration_s=sweep.marker_s,
            amplitude=amplitude,
        )
    return total


def through(samples, rate, room=known_room):
    """Filter by multiplication of spectra, padded against wrap-around."""
    size = 1 << int(np.ceil(np.log2(samples.size + 4 * rate)))
    frequency = np.fft.rfftfreq(size, 1 / rate)
    frequency[0] = 1e-3
    return np.fft.irfft(np.fft.rfft(samples, size) * room(frequency), size)[: samples.size]


def recorded(sweep=None, *, rate=48000, drift=0.0, noise=0.0, clip=None, room=known_room, seed=1):
    """A mono recording in a known room; `noise` is its standard deviation re full scale."""
    sweep = sweep or Sweep()
    samples = through(played(sweep, rate=rate, drift=drift), rate, room)
    samples = samples + noise * np.random.default_rng(seed).standard_normal(samples.size)
    if clip is not None:
        top = clip * np.abs(samples).max()
        samples = np.clip(samples, -top, top)
    return Recording(
        samples=samples[:, None].astype(np.float32),
        sample_rate_hz=float(rate),
        bits=16,
        name="room.wav",
    )
