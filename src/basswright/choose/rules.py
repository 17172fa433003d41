"""One class for each rule that can leave a system out.

A rule is named once, here: the counts, the explanations, the documentation and the
reliefs that a person reads are all made from these classes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True)
class Rule:
    """What every rule tells of itself.

    Attributes
    ----------
    name : str
        Short key, as in verdicts.
    title : str
        What a person reads.
    unit : str
        Unit of the margin.
    must : bool
        True: a system that fails is never offered. False: it is a wish, and when no
        system meets every wish the nearest are shown.
    gives : bool
        Whether a person can give way here. Where the catalogue has no amplifier that
        suits, nothing of car or wish can be changed to admit one.
    relief : str
        What would have to change, with ``{amount}`` for the figure.
    """

    name: ClassVar[str]
    title: ClassVar[str]
    unit: ClassVar[str]
    must: ClassVar[bool] = True
    gives: ClassVar[bool] = True
    relief: ClassVar[str]


class BoxKindRule(Rule):
    """The customer wants only some kinds of box."""

    name = "box kind"
    title = "kind of box that the wish allows"
    unit = ""
    relief = "allow this kind of box"


class BuiltInRule(Rule):
    """The customer wants an amplifier built in, or does not."""

    name = "built-in amplifier"
    title = "amplifier built in, as wished"
    unit = ""
    relief = "allow the other way of placing the amplifier"


class SpaceRule(Rule):
    """The box stands in the load space with the wanted clearance."""

    name = "space"
    title = "goes into the load space"
    unit = "mm"
    relief = "{amount} more room"


class OpeningRule(Rule):
    """The box passes the opening."""

    name = "opening"
    title = "passes the opening"
    unit = "mm"
    relief = "{amount} more opening"


class LuggageRule(Rule):
    """Enough luggage still goes in."""

    name = "luggage"
    title = "leaves the luggage space asked for"
    unit = "L"
    must = False
    relief = "{amount} less luggage to keep"


class PowerRule(Rule):
    """The amplifier may drive the total load, within what the box takes."""

    name = "power match"
    title = "amplifier suits the total load and power range"
    unit = "dB"
    gives = False
    relief = "another amplifier"


class SupplyRule(Rule):
    """Cable, fuse and charging system carry it safely."""

    name = "supply"
    title = "cable, fuse and charging system carry it"
    unit = "A"
    relief = "{amount} more from the supply"


class BudgetRule(Rule):
    """The whole job stays within the budget."""

    name = "budget"
    title = "within the budget"
    unit = "money"
    must = False
    relief = "{amount} more budget"


class LevelRule(Rule):
    """It surely plays as loud as wished."""

    name = "loud enough"
    title = "surely as loud as wished"
    unit = "dB"
    must = False
    relief = "a wish {amount} less loud"


class LowLimitRule(Rule):
    """It surely plays as low as wished."""

    name = "low enough"
    title = "surely as low as wished"
    unit = "Hz"
    must = False
    relief = "a wished low limit {amount} higher"


class SightRule(Rule):
    """A box that may not be seen stays under the luggage cover."""

    name = "out of sight"
    title = "out of sight, as wished"
    unit = "mm"
    must = False
    relief = "a cover {amount} higher, or a box that may be seen"


class DataSheetRule(Rule):
    """A box whose data sheet contradicts itself is left out where the wish says so."""

    name = "data sheet"
    title = "data sheet without a contradiction"
    unit = ""
    relief = "trust its data sheet less instead of leaving it out"


#: Every rule, in the order in which a person meets it; the place is its bit in a mask.
RULES: tuple[type[Rule], ...] = (
    BoxKindRule,
    BuiltInRule,
    SpaceRule,
    OpeningRule,
    LuggageRule,
    PowerRule,
    SupplyRule,
    BudgetRule,
    LevelRule,
    LowLimitRule,
    SightRule,
    DataSheetRule,
)
INDEX: dict[str, int] = {rule.name: place for place, rule in enumerate(RULES)}
