"""Which readings of a job were estimated, how large they came out, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

from basswright.jobs.keys import Key, key_path_of, keys_of
from basswright.jobs.shapes import Quantity
from basswright.records.base import Origin, Record
from basswright.records.car import Car


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """One reading that nobody took.

    Attributes
    ----------
    key : str
        Dotted key inside the file's ``[car]``.
    value, low, high : str
        The estimate and the ends of its 90 % band, with units; ends empty where unknown.
    note : str
        How it was come by.
    """

    key: str
    value: str
    low: str
    high: str
    note: str

    def __str__(self) -> str:
        band = f" ({self.low} to {self.high})" if self.low and self.high else ""
        return f"{self.key} {self.value}{band}" + (f": {self.note}" if self.note else "")


def estimated(car: Car) -> tuple[Estimate, ...]:
    """Return the readings of a car that were estimated, by key.

    Raises
    ------
    AttributeError
        When an origin names no reading of the car.
    """
    found = [
        _estimate(car, path, origin)
        for path, origin in car.origins.items()
        if origin.kind == "estimated"
    ]
    return tuple(sorted(found, key=lambda each: each.key))


def _estimate(car: Car, path: str, origin: Origin) -> Estimate:
    *tables, field = path.split(".")
    record: Record = reduce(getattr, tables, car)
    key = next(each for each in keys_of(type(record)) if each.field == field)
    return Estimate(
        key=key_path_of(Car, path),
        value=_told(key, getattr(record, field)),
        low="" if origin.low is None else _told(key, origin.low),
        high="" if origin.high is None else _told(key, origin.high),
        note=" ".join(origin.note.split()),
    )


def _told(key: Key, value: object) -> str:
    if not isinstance(value, float):
        return "none" if value is None else str(value)
    short = float(f"{value:.3g}")
    return key.shape.shown(short) if isinstance(key.shape, Quantity) else f"{short:g}"
