"""What a rule of plausibility says: which figures of a data sheet clash, and how badly."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: "contradiction": physics does not allow it. "doubtful": possible, but look again.
Severity = Literal["contradiction", "doubtful"]

Table = TypeVar("Table")


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What one rule says of n things.

    Attributes
    ----------
    excess : ndarray, shape (n,)
        How far beyond what the rule expects, in the rule's unit; NaN where a figure
        that the rule needs is missing.
    doubtful_from, contradiction_from : float
        Excess from which a thing is doubtful, or contradicts physics (infinite where
        the rule can never be sure).
    """

    excess: Floats
    doubtful_from: float
    contradiction_from: float


@dataclass(frozen=True, kw_only=True)
class Rule(Generic[Table]):
    """One rule: what it compares, why, and which fields it makes less trusted.

    `sentence` is a template for a person; it may name the figures that are in `shows`
    (each given with its unit) and ``{excess}``.
    """

    name: str
    description: str
    fields: tuple[str, ...]
    sentence: str
    unit: str
    judge: Callable[[Table], Finding]
    shows: Callable[[Table, int], dict[str, str]]


@dataclass(frozen=True, kw_only=True)
class Clash:
    """Figures of one data sheet that do not go together.

    `figures` are those that clash, in words; `fields` their paths in the record.
    """

    id: str
    rule: str
    severity: Severity
    sentence: str
    figures: tuple[tuple[str, str], ...]
    fields: tuple[str, ...]
    excess: float
    unit: str
