"""Why a named box is not among the options, and what would let it in."""

from __future__ import annotations

from difflib import get_close_matches

import numpy as np

from basswright.choose import reasons
from basswright.choose.concessions import NO_SUPPLY_BEYOND_A
from basswright.choose.ranking import shortfall
from basswright.choose.rules import RULES
from basswright.errors import NotFoundError
from basswright.records.base import Record
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.stages.weigh import OnStep, Prepared, no_step, weigh


class Why(Record):
    """What stands between a box and the list of options."""

    enclosure: str
    passes: bool
    fails: tuple[str, ...]
    text: str


def why(
    job: Job, catalogue: Snapshot | Prepared, enclosure: str, *, on_step: OnStep = no_step
) -> Why:
    """Tell why a named box is not among the options.

    Its best system is the one that falls short of the fewest steps.

    Raises
    ------
    NotFoundError
        No box of that id.
    """
    weighed = weigh(job, catalogue, on_step=on_step)
    refused = [str(each) for each in weighed.prepared.refused if each.item == enclosure]
    if refused:
        return Why(enclosure=enclosure, passes=False, fails=tuple(refused), text="; ".join(refused))
    ids = [each.id for each in weighed.prepared.snapshot.enclosures]
    if enclosure not in ids:
        near = tuple(get_close_matches(enclosure, ids, n=3, cutoff=0.4))
        raise NotFoundError("enclosure", enclosure, near)
    place = np.flatnonzero(weighed.kept == ids.index(enclosure))
    if place.size == 0:
        return _told(enclosure, ["it fails three or more rules that concern the box alone"])
    rows = np.flatnonzero(weighed.systems.pairs.box == place[0])
    if rows.size == 0:
        return _told(enclosure, ["no amplifier of the catalogue may drive its load"])
    effort = shortfall(weighed.systems, rows, budget=job.wish.budget)
    nearest = rows[[int(np.argmin(effort))]]
    margins = weighed.systems.margins(nearest)[0]
    fails = []
    for rule, margin in zip(RULES, margins, strict=True):
        if margin >= -1e-9:
            continue
        if rule.unit == "A" and margin <= -NO_SUPPLY_BEYOND_A:
            fails.append(f"not {rule.title}: the catalogue has no cable, fuse and holder for it")
            continue
        amount = reasons.amount_text(-float(margin), rule.unit, job.workshop.currency)
        fails.append(f"not {rule.title}: {rule.relief.format(amount=amount)}")
    return _told(enclosure, fails)


def _told(enclosure: str, fails: list[str]) -> Why:
    text = f"{enclosure}: " + ("; ".join(fails) or "it meets every rule; others rank above it")
    return Why(enclosure=enclosure, passes=not fails, fails=tuple(fails), text=text)
