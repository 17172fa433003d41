"""The demo amplifiers: ratings at several loads that follow voltage and current limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.random import Generator

from basswright.catalogue.demo.hidden import Floats
from basswright.catalogue.demo.makers import AMPLIFIER_MAKERS
from basswright.records.amplifier import Amplifier, OutputMode, PowerRating

_CHANNELS: Final = (1, 2, 4)
_CHANNEL_SHARE: Final = (0.55, 0.22, 0.23)
#: Power of one output into its lowest load [W]: least and most by number of channels.
_POWER_W: Final = {1: (120.0, 3000.0), 2: (45.0, 500.0), 4: (40.0, 220.0)}
_FUSES_A: Final = (10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 250, 300, 350, 400)


@dataclass(frozen=True, kw_only=True, slots=True)
class HiddenAmplifier:
    """One output as it is: a source of so many volts behind so many ohms.

    P(R) = V^2 R / (R + Ro)^2 down to the lowest load, where the current limit lies.
    """

    open_voltage_v: float
    source_ohm: float
    current_limit_a: float
    efficiency_share: float

    def power_w(self, load_ohm: float) -> float:
        """Return the continuous power of one output into a load [W]."""
        return self.open_voltage_v**2 * load_ohm / (load_ohm + self.source_ohm) ** 2


def draw(rng: Generator, n: int) -> tuple[tuple[Amplifier, ...], dict[str, HiddenAmplifier]]:
    """Draw n amplifiers and, apart from them, their hidden outputs by id."""
    channels = rng.choice(_CHANNELS, n, p=_CHANNEL_SHARE).tolist()
    share = rng.beta(1.1, 1.6, n)
    chance = rng.random((n, 12))
    noise = rng.normal(0.0, 1.0, (n, 4))
    width = max(4, len(str(n)))
    amplifiers: list[Amplifier] = []
    truth: dict[str, HiddenAmplifier] = {}
    for i in range(n):
        id_ = f"demo-amp-{i + 1:0{width}d}"
        low, high = _POWER_W[channels[i]]
        power = low * (high / low) ** float(share[i])
        amplifier, hidden = _one(id_, channels[i], power, chance=chance[i], noise=noise[i])
        amplifiers.append(amplifier)
        truth[id_] = hidden
    return tuple(amplifiers), truth


def _one(
    id_: str, channels: int, power_w: float, *, chance: Floats, noise: Floats
) -> tuple[Amplifier, HiddenAmplifier]:
    maker = AMPLIFIER_MAKERS[int(chance[0] * len(AMPLIFIER_MAKERS))]
    lowest = _lowest_load(channels, float(chance[1]))
    source = (0.06 + 0.20 * float(chance[2])) * lowest
    is_d = chance[3] < (0.88 if channels == 1 else 0.60) and power_w * channels > 90
    efficiency = (0.75 + 0.10 * chance[4] if is_d else 0.50 + 0.10 * chance[4]).item()
    hidden = HiddenAmplifier(
        open_voltage_v=(power_w / lowest) ** 0.5 * (lowest + source),
        source_ohm=source,
        current_limit_a=(power_w / lowest) ** 0.5,
        efficiency_share=efficiency,
    )
    bridges = channels > 1 and chance[5] < 0.92
    ratings = _ratings(channels, lowest, hidden, bridges=bridges)
    total = channels * next(r.power_w for r in ratings if r.load_ohm == lowest)
    current = total / (efficiency * 14.4)
    tells = chance[6:11] >= np.array([0.12, 0.25, 0.45, 0.45, 0.08]) * maker.silence
    length, width, height = _size(total, is_d=bool(is_d), noise=noise)
    price = _price(total, channels, is_d=bool(is_d)) * maker.price_factor
    price *= float(np.exp(0.12 * noise[0]))
    rated_v = 14.4 if chance[11] < 0.85 else 13.8
    size = f"{total:.0f}.{channels}"
    amplifier = Amplifier(
        id=id_,
        maker=maker.name,
        model=f"{maker.series[int(id_[-1]) % 2]} {size}-{int(id_[9:])}",
        channels=channels,
        ratings=ratings,
        lowest_load_ohm=lowest,
        lowest_bridged_ohm=2 * lowest if bridges else None,
        rated_voltage_v=rated_v if tells[0] else None,
        rated_distortion_share=0.01 if tells[1] else None,
        regulated=bool(chance[4] > 0.9) if tells[2] else None,
        amplifier_class="D" if is_d else "AB",
        efficiency_share=round(efficiency, 2) if tells[3] else None,
        idle_current_a=round(0.5 + 1.3 * min(total / 2500, 1) ** 0.5, 1) if tells[2] else None,
        current_a=round(current, 1) if tells[3] else None,
        fuse_a=_fuse(current) if tells[4] else None,
        width_m=width,
        height_m=height,
        depth_m=length,
        mass_kg=round((1.0 if is_d else 1.8) * (0.6 + total / 330), 1),
        price=float(round(np.clip(price, 60, 2400) / 10) * 10 - 1),
    )
    return amplifier, hidden


def _lowest_load(channels: int, chance: float) -> float:
    if channels == 1:
        return 1.0 if chance < 0.62 else 2.0 if chance < 0.95 else 4.0
    return 2.0 if chance < 0.88 else 4.0


def _ratings(
    channels: int, lowest_ohm: float, hidden: HiddenAmplifier, *, bridges: bool
) -> tuple[PowerRating, ...]:
    mode: Literal["single", "per-channel"] = "single" if channels == 1 else "per-channel"
    loads = [load for load in (4.0, 2.0, 1.0) if load >= lowest_ohm]
    lines = [(mode, load, hidden.power_w(load)) for load in loads]
    told: list[tuple[OutputMode, float, float]] = list(lines)
    if bridges:
        told += [("bridged", 2 * load, 2 * power) for _, load, power in lines if load <= 2]
        if lowest_ohm == 4:
            told.append(("bridged", 8.0, 2 * hidden.power_w(4.0)))
    return tuple(
        PowerRating(mode=mode, load_ohm=load, power_w=_told_power(power))
        for mode, load, power in told
    )


def _told_power(power_w: float) -> float:
    step = 1 if power_w < 50 else 5 if power_w < 300 else 10
    return float(round(power_w / step) * step)


def _fuse(current_a: float) -> float:
    return float(next((a for a in _FUSES_A if a >= current_a), _FUSES_A[-1]))


def _size(total_w: float, *, is_d: bool, noise: Floats) -> tuple[float, float, float]:
    """Return length, width and height [m]; class AB needs about 2.2 times the volume."""
    volume = (0.0007 + 1.5e-6 * total_w) * (1.0 if is_d else 2.2)
    height = round(0.048 + 0.004 * float(np.clip(noise[1], -1.5, 1.5)), 3)
    width = round(0.15 + 0.05 * min(total_w / 2000, 1) + 0.008 * float(noise[2]), 3)
    return round(max(volume / (height * width), 0.10), 3), width, height


def _price(total_w: float, channels: int, *, is_d: bool) -> float:
    watts: float = 45 + 0.62 * total_w**0.95
    return watts * (1.0 if is_d else 1.25) * {1: 1.0, 2: 1.05, 4: 1.15}[channels]
