"""Invented amplifiers and boxes for the tests."""

from __future__ import annotations

from typing import Any

from basswright.records.amplifier import Amplifier
from basswright.records.enclosure import Enclosure


def amplifier(ratings: dict[str, dict[float, float]], **changes: Any) -> Amplifier:
    """Return an amplifier; ratings as mode -> load -> power."""
    values: dict[str, Any] = {
        "id": "amplifier",
        "maker": "Invented",
        "model": "amplifier",
        "channels": 1 if "single" in ratings else 2,
        "ratings": tuple(
            {"mode": mode, "load_ohm": load, "power_w": power}
            for mode, powers in ratings.items()
            for load, power in powers.items()
        ),
        "lowest_load_ohm": min(min(powers) for powers in ratings.values()),
        "rated_voltage_v": 14.4,
        "rated_distortion_share": 0.01,
        "regulated": False,
        "price": 100.0,
    }
    return Amplifier.model_validate(values | changes)


def mono(**changes: Any) -> Amplifier:
    """Return a mono amplifier: 300 W into 4, 500 W into 2, 800 W into 1 ohm."""
    return amplifier({"single": {4.0: 300.0, 2.0: 500.0, 1.0: 800.0}}, **changes)


def stereo(**changes: Any) -> Amplifier:
    """Return a two-channel amplifier that can be bridged: 75 W into 4, 120 W into 2 ohm."""
    values = {"lowest_bridged_ohm": 4.0, **changes}
    return amplifier({"per-channel": {4.0: 75.0, 2.0: 120.0}}, **values)


def box(**changes: Any) -> Enclosure:
    """Return a 4 ohm box for 100 to 200 W."""
    values: dict[str, Any] = {
        "id": "box",
        "maker": "Invented",
        "model": "box",
        "kind": "closed",
        "shape": {"form": "cuboid", "width_m": 0.4, "height_m": 0.4, "depth_m": 0.3},
        "driver": {"size_m": 0.3},
        "load_ohm": 4.0,
        "power_low_w": 100.0,
        "power_high_w": 200.0,
        "price": 100.0,
    }
    return Enclosure.model_validate(values | changes)
