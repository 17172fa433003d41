"""Which other systems stand on the quote beside the chosen one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, cast, get_args

from basswright.choose.ranking import rank
from basswright.papers import Alternative
from basswright.papers.facts import Corner
from basswright.records.system import Option
from basswright.stages.assemble import Assembler
from basswright.stages.weigh import Weighed

#: As many as a customer can still weigh against each other (common practice, no source).
MOST: Final = 3
#: What a customer asks for first, first.
_CORNERS: Final[tuple[Corner, ...]] = (
    "cheapest",
    "loudest",
    "lowest",
    "most luggage left",
    "easiest to fit",
)


def alternatives(options: Sequence[Option], chosen: Option) -> tuple[Alternative, ...]:
    """Return the systems to name beside the chosen one, cheapest first.

    Parameters
    ----------
    options : sequence of Option
        Ranked, the named ones among them.
    chosen : Option
        Left out, and so is every other system with the same box.

    Returns
    -------
    tuple of Alternative
        Up to :data:`MOST`: those that are best of all in something, then the next in order.
    """
    picked: dict[str, Option] = {}

    def take(option: Option) -> None:
        box = option.enclosure.id
        if box != chosen.enclosure.id and box not in picked and len(picked) < MOST:
            picked[box] = option

    for corner in _CORNERS:
        for option in options:
            if corner in option.named:
                take(option)
    for option in options:
        take(option)
    return tuple(
        _alternative(option) for option in sorted(picked.values(), key=lambda o: o.goals.price)
    )


def alternatives_of(weighed: Weighed, chosen: Option) -> tuple[Alternative, ...]:
    """Return the systems to name beside the chosen one, of a job that was just weighed."""
    assembler = Assembler(weighed)
    ranking = rank(weighed.systems, most=MOST + 1, budget=weighed.job.wish.budget)
    options = [
        assembler.option(int(row), rank=place + 1, named=ranking.named.get(int(row), ()))
        for place, row in enumerate(ranking.rows)
    ]
    return alternatives(options, chosen)


def _alternative(option: Option) -> Alternative:
    box, amplifier, goals = option.enclosure, option.amplifier, option.goals
    name = f"{box.maker} {box.model}"
    if amplifier is not None:
        name += f" + {amplifier.maker} {amplifier.model}"
    known = get_args(Corner)
    return Alternative(
        name=name,
        corners=tuple(cast(Corner, corner) for corner in option.named if corner in known),
        price=goals.price,
        level_db=goals.sure_level_db,
        low_limit_hz=goals.sure_low_limit_hz,
        luggage_left_m3=goals.luggage_left_m3,
    )
