"""A measurement as a file, so that next year's can be held against it."""

from __future__ import annotations

import json
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final

import numpy as np

from basswright.errors import InputError, TooLargeError
from basswright.records.measurement import Measurement, Problem

_FORMAT: Final = "basswright measurement"
_VERSION: Final = 1
_LARGEST_BYTES: Final = 20_000_000
_CURVES: Final = ("level_db", "phase_rad", "noise_db", "coherence", "spread_db")
_FIGURES: Final = ("impulse_rate_hz", "arrival_s", "drift_ppm", "played_dbfs")


def as_text(measurement: Measurement) -> str:
    """Return a measurement as JSON text that :func:`from_text` reads back."""
    data: dict[str, Any] = {"format": _FORMAT, "version": _VERSION}
    for field in fields(measurement):
        value = getattr(measurement, field.name)
        data[field.name] = value.tolist() if isinstance(value, np.ndarray) else value
    data["problems"] = [asdict(problem) for problem in measurement.problems]
    return json.dumps(data, ensure_ascii=False, indent=1)


def from_text(text: str, *, name: str = "") -> Measurement:
    """Return the measurement that a text holds.

    Raises
    ------
    InputError
        No measurement, or one whose curves do not go together.
    """
    data = _parsed(text, name)
    try:
        measurement = _measurement(data)
    except (KeyError, TypeError, ValueError) as error:
        raise InputError(f"the measurement is damaged: {error}", item=name) from error
    _check(measurement, name)
    return measurement


def read_measurement(path: Path) -> Measurement:
    """Read a measurement that was written before.

    Raises
    ------
    InputError
        Missing, or no measurement.
    TooLargeError
    """
    if not path.is_file():
        raise InputError("there is no such file", item=path.name)
    if path.stat().st_size > _LARGEST_BYTES:
        raise TooLargeError(f"{path.name}: more than 20 MB is no measurement")
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(
            "this is no measurement", item=path.name, allowed="a file that was kept as one"
        ) from None
    return from_text(text, name=path.name)


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    if not isinstance(data, dict) or data.get("format") != _FORMAT:
        raise InputError("this is no measurement", item=name, allowed="a file that was kept as one")
    if data.get("version") != _VERSION:
        raise InputError(
            "the measurement was written by a newer version of the program",
            item=name,
            value=data.get("version"),
        )
    return data


def _measurement(data: dict[str, Any]) -> Measurement:
    values: dict[str, Any] = {
        key: np.array(data[key], dtype=np.float64)
        for key in ("frequency_hz", *_CURVES, "impulse", "distortion_db")
    }
    values |= {key: float(data[key]) for key in _FIGURES}
    return Measurement(
        **values,
        harmonics=tuple(int(number) for number in data["harmonics"]),
        absolute=bool(data["absolute"]),
        seats=tuple(str(seat) for seat in data["seats"]),
        problems=tuple(Problem(**problem) for problem in data["problems"]),
    )


def _check(one: Measurement, name: str) -> None:
    count = one.frequency_hz.size
    curves = [one.frequency_hz, *(getattr(one, key) for key in _CURVES)]
    shapes = all(curve.shape == (count,) for curve in curves)
    shapes = shapes and one.distortion_db.shape == (len(one.harmonics), count)
    finite = all(np.isfinite(curve).all() for curve in (*curves, one.distortion_db))
    rising = count >= 8 and bool((np.diff(one.frequency_hz) > 0).all()) and one.frequency_hz[0] > 0
    if not (shapes and finite and rising):
        raise InputError("the curves of the measurement do not go together", item=name)
