"""The answer of one rule: passes, by how much, what decides, what would help."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from basswright.records.base import Record

Certainty = Literal["sure", "too close to call"]


class Relief(Record):
    """The smallest change that would let the thing pass."""

    what: str = Field(description="what has to change, as a person would name it")
    amount: float = Field(description="by how much, in `unit`")
    unit: str


class Verdict(Record):
    """What one rule says of one candidate.

    `margin` is signed, in the unit that a person uses; negative means it fails.
    """

    rule: str
    passes: bool
    margin: float
    unit: str
    limit: str = Field(description="which dimension, part or figure decides")
    relief: Relief | None = None
    certainty: Certainty = "sure"
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class VerdictTable:
    """What one rule says of many candidates: one row a candidate.

    Attributes
    ----------
    rule : str
        Name of the rule.
    unit : str
        Unit of `margin` and `relief_amount` ("mm", "dB", "A", "W", "ohm").
    passes : ndarray of bool, shape (n,)
    margin : ndarray of float, shape (n,)
        Signed, in `unit`; never NaN.
    limit_index : ndarray of int, shape (n,)
        Which of `limits` decides.
    limits : tuple of str
        What can decide, as a person would name it.
    sure : ndarray of bool, shape (n,)
        False where the tolerance of the readings reaches across the limit.
    """

    rule: str
    unit: str
    passes: NDArray[np.bool_]
    margin: NDArray[np.float64]
    limit_index: NDArray[np.intp]
    limits: tuple[str, ...]
    sure: NDArray[np.bool_]

    def row(self, index: int) -> Verdict:
        """Return the verdict of one candidate."""
        passes, margin = bool(self.passes[index]), float(self.margin[index])
        limit = self.limits[int(self.limit_index[index])]
        relief = None if passes else Relief(what=limit, amount=-margin, unit=self.unit)
        return Verdict(
            rule=self.rule,
            passes=passes,
            margin=margin,
            unit=self.unit,
            limit=limit,
            relief=relief,
            certainty="sure" if self.sure[index] else "too close to call",
        )
