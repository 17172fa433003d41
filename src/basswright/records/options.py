"""The answer of the stage Options: whole systems in order, and what was left out."""

from __future__ import annotations

from pydantic import Field

from basswright.records.base import Record
from basswright.records.system import Option


class RuleCount(Record):
    """How many boxes one rule leaves out.

    A box counts for a rule when none of its systems passes every rule; it counts as
    left out by that rule *alone* when one of its systems fails no other.
    """

    rule: str
    title: str
    alone: int = Field(ge=0)
    in_all: int = Field(
        ge=0, description="those, and the boxes of which every system fails this rule"
    )


class Concession(Record):
    """The smallest change of car or wish that lets something better in."""

    rules: tuple[str, ...] = Field(description="which rules have to give")
    what: tuple[str, ...] = Field(description="what has to change, one text a rule")
    amounts: tuple[float, ...] = Field(description="by how much, in `units`; 0 for a yes or no")
    units: tuple[str, ...]
    admits: int = Field(
        ge=0, description="boxes let in by that change; 0: a better system of a box that is in"
    )
    enclosure: str = Field(description="the best of them")
    amplifier: str = Field(description="with this amplifier; empty if built in")
    gain_db: float = Field(description="surely louder than the best option by")
    gain_hz: float = Field(description="surely lower than the best option by")
    gain_luggage_m3: float
    extra_price: float
    better: bool = Field(description="whether it scores higher than the best option")
    text: str


class Nearest(Record):
    """How far what comes nearest stays behind a rule.

    That is the first option; where no system may be offered at all, it is the system of
    `enclosure` that lacks least.
    """

    enclosure: str = ""
    rule: str
    title: str
    short_by: float = Field(ge=0)
    unit: str


class Sensitivity(Record):
    """How much one reading may be wrong before it costs an option."""

    reading: str = Field(description="dotted path inside the load space")
    change_m: float = Field(description="signed; the smallest that costs something")
    lost: tuple[str, ...] = Field(description="options lost by it, best first")
    text: str


class Options(Record):
    """Whole priced systems in order, with the reasons, and what was left out and why."""

    job_id: str
    currency: str
    boxes: int = Field(description="enclosures weighed")
    amplifiers: int = Field(description="amplifiers weighed")
    systems: int = Field(description="pairs of box and amplifier that these make")
    wish_met: bool = Field(description="False: nothing meets every wish, these come nearest")
    nearest: tuple[Nearest, ...] = ()
    options: tuple[Option, ...]
    rules: tuple[RuleCount, ...]
    concessions: tuple[Concession, ...]
    readings: tuple[Sensitivity, ...] = Field(
        (), description="readings of the load space that the best options hang on"
    )
    cabin_model: str = ""
    estimates: tuple[str, ...] = Field((), description="readings that were not taken")
    refused: tuple[str, ...] = Field(
        (), description="boxes left out because their data sheets contradict themselves"
    )
    doubtful: tuple[str, ...] = Field(
        (), description="how many data sheets clash with themselves, and what became of them"
    )
