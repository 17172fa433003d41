"""What each rule leaves out alone, and the smallest change that lets something better in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.choose.goals import NOT_HELD_HZ
from basswright.choose.rules import INDEX, RULES
from basswright.choose.systems import SLACK, Systems

#: A better system has to be better by this much of the score.
BETTER_BY = 0.25
#: A supply that is short by more than this does not exist at all [A].
NO_SUPPLY_BEYOND_A = 1000.0


@dataclass(frozen=True, kw_only=True)
class Count:
    """Boxes that one rule leaves out: alone, and in all."""

    rule: int
    alone: int
    in_all: int


@dataclass(frozen=True, kw_only=True)
class Change:
    """The smallest change of one or two rules that admits something better.

    Attributes
    ----------
    rules : tuple of int
    limits : tuple of str
        Which dimension of the rule has to give, where the rule has several.
    amounts : tuple of float
    admits : int
        Boxes let in that have no system without the change; 0 when it only brings a
        better system of a box that is in already.
    row : int
        The best system let in.
    better : bool
        Whether it scores higher than the best system without the change.
    """

    rules: tuple[int, ...]
    limits: tuple[str, ...]
    amounts: tuple[float, ...]
    admits: int
    row: int
    better: bool


def counts(systems: Systems) -> tuple[Count, ...]:
    """Return for each rule how many boxes it leaves out, alone and in all.

    A box that has a system which passes every rule counts for none. Alone: one of its
    systems fails nothing else. In all: that, or every one of its systems fails the rule.
    A box that no amplifier may drive makes no system; it fails the rule on the match.
    """
    mask, idle = systems.mask, _without_amplifier(systems)
    lone = np.where(np.bitwise_count(idle) == 1, idle, np.uint32(0))
    alone, always = lone, idle
    first = np.flatnonzero(np.diff(systems.pairs.box, prepend=-1))
    if first.size:
        single_failure = np.where(np.bitwise_count(mask) == 1, mask, np.uint32(0))
        closed = np.minimum.reduceat(mask, first) > 0
        own = np.bitwise_or.reduceat(single_failure, first)[closed]
        alone = np.concatenate([alone, own])
        always = np.concatenate([always, np.bitwise_and.reduceat(mask, first)[closed] | own])
    return tuple(
        Count(
            rule=place,
            alone=int(np.count_nonzero(alone & np.uint32(1 << place))),
            in_all=int(np.count_nonzero(always & np.uint32(1 << place))),
        )
        for place in range(len(RULES))
    )


def _without_amplifier(systems: Systems) -> NDArray[np.uint32]:
    """Return the failures of every box that makes no system at all."""
    without = np.setdiff1d(np.arange(systems.boxes.price.size), systems.pairs.box)
    mask = np.full(without.size, 1 << INDEX["power match"], dtype=np.uint32)
    for name, margin in systems.boxes.margins.items():
        mask |= np.where(margin[without] < -SLACK, np.uint32(1 << INDEX[name]), np.uint32(0))
    return mask


def lone_failures(mask: NDArray[np.uint32]) -> tuple[int, ...]:
    """Return for each rule how many of the given systems fail it and nothing else."""
    lone = mask[np.bitwise_count(mask) == 1]
    places = np.bitwise_count(lone - np.uint32(1))
    found = np.bincount(places, minlength=len(RULES))
    return tuple(int(count) for count in found)


def single(
    systems: Systems,
    best_score: float,
    limits: Mapping[int, tuple[NDArray[np.intp], Sequence[str]]],
) -> tuple[Change, ...]:
    """Return for each rule the smallest change that admits something better.

    Where nothing that the rule alone leaves out scores higher than the best, the change
    is told that admits the best of it.

    Parameters
    ----------
    systems : Systems
    best_score : float
        Score of the best system that passes every rule; -inf if there is none.
    limits : mapping
        Rule -> (which limit decides for each box, names of the limits), for rules that
        have several; each limit is then a change of its own.
    """
    changes = []
    may_give = _may_give(systems)
    for place in range(len(RULES)):
        rows = np.flatnonzero((systems.mask == np.uint32(1 << place)) & may_give)
        if rows.size == 0:
            continue
        if place not in limits:
            changes.append(_smallest(systems, rows, place, "", best_score))
            continue
        which, names = limits[place]
        decides = which[systems.pairs.box[rows]]
        changes += [
            _smallest(systems, rows[decides == i], place, name, best_score)
            for i, name in enumerate(names)
        ]
    return tuple(change for change in changes if change is not None)


def _smallest(
    systems: Systems, rows: NDArray[np.intp], place: int, limit: str, best_score: float
) -> Change | None:
    if rows.size == 0:
        return None
    need, score, unit = -systems.margins(rows)[:, place], systems.score[rows], RULES[place].unit
    better = score > best_score + BETTER_BY
    aim = float(need[better].min() if better.any() else need[np.argmax(score)])
    amount = _rounded_up(aim, unit)
    admitted = np.flatnonzero(need <= max(amount, aim))
    best = rows[admitted[np.argmax(score[admitted])]]
    return Change(
        rules=(place,),
        limits=(limit,),
        amounts=(amount,),
        admits=_let_in(systems, rows[admitted]),
        row=int(best),
        better=bool(better.any()),
    )


def pairs(systems: Systems, best_score: float, *, steps: Sequence[float]) -> tuple[Change, ...]:
    """Return the smallest change of two rules that admits something better.

    Parameters
    ----------
    steps : sequence of float
        What counts as one step of each rule; the smallest sum of steps wins.
    """
    mask = systems.mask
    better = (systems.score > best_score + BETTER_BY) & _may_give(systems)
    two = np.flatnonzero((np.bitwise_count(mask) == 2) & better)
    if two.size == 0:
        return ()
    effort = (np.maximum(0.0, -systems.margins(two)) / np.asarray(steps)).sum(axis=1)
    row = int(two[np.lexsort((-systems.score[two], effort))[0]])
    places = tuple(place for place in range(len(RULES)) if mask[row] >> place & 1)
    own = systems.margins(np.array([row]))[0]
    amounts = tuple(_rounded_up(float(-own[place]), RULES[place].unit) for place in places)
    same = np.flatnonzero(mask == mask[row])
    within = (-systems.margins(same)[:, places] <= np.asarray(amounts) + 1e-9).all(axis=1)
    return (
        Change(
            rules=places,
            limits=("", ""),
            amounts=amounts,
            admits=_let_in(systems, same[within]),
            row=row,
            better=True,
        ),
    )


def _may_give(systems: Systems) -> NDArray[np.bool_]:
    """Tell which systems a change of car or wish could let in at all."""
    fixed = sum(1 << place for place, rule in enumerate(RULES) if not rule.gives)
    gives: NDArray[np.bool_] = (systems.mask & np.uint32(fixed)) == 0
    fed = systems.feeds.supply_margin_a[systems.pairs.feed] > -NO_SUPPLY_BEYOND_A
    low = (systems.mask & np.uint32(1 << INDEX["low enough"])) == 0
    held: NDArray[np.bool_] = low | (systems.pairs.sure_low_limit_hz < NOT_HELD_HZ)
    return gives & fed & held


def _let_in(systems: Systems, rows: NDArray[np.intp]) -> int:
    """Count the boxes of some rows that have no system which passes every rule."""
    already = np.unique(systems.pairs.box[systems.mask == 0])
    return int(np.setdiff1d(systems.pairs.box[rows], already).size)


def _rounded_up(amount: float, unit: str) -> float:
    step = {"mm": 1.0, "L": 1.0, "dB": 0.1, "Hz": 0.5, "money": 1.0, "A": 1.0}.get(unit, 0.1)
    return float(np.ceil(amount / step - 1e-9) * step)
