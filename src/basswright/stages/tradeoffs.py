"""What the fitter trades against what in one car: room, cone, kind of box, power, load."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from basswright.choose.rules import RULES
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.records.tradeoffs import Dimension, Group, Tradeoffs
from basswright.records.verdict import VerdictTable
from basswright.records.wish import ALL_BOX_KINDS
from basswright.stages import tradeoff_words
from basswright.stages.assemble import Assembler
from basswright.stages.power_steps import load_steps, power_steps, stays_up_to_w
from basswright.stages.system import find_place
from basswright.stages.weigh import OnStep, Prepared, Weighed, no_step, weigh

#: More of a dimension that is tried [mm].
MORE_MM = (10.0, 20.0, 30.0)
#: Dimensions that are told, those that keep out most first.
MOST_DIMENSIONS = 5
INCH_M = 0.0254

Bools = NDArray[np.bool_]


def tradeoffs(
    job: Job, catalogue: Snapshot | Prepared, option: str = "1", *, on_step: OnStep = no_step
) -> Tradeoffs:
    """Return what each choice costs and brings in this car.

    Parameters
    ----------
    job : Job
    catalogue : Snapshot or Prepared
    option : str
        The system that power and load are varied for: its place in the list, or its id.
    on_step : callable
        Told in a few words what comes next.

    Raises
    ------
    NotFoundError
        No such option for this job.
    """
    return of_weighed(weigh(job, catalogue, on_step=on_step), option)


def of_weighed(weighed: Weighed, option: str = "1") -> Tradeoffs:
    """Return the trade-offs of a job that was weighed already."""
    ranking, place = find_place(weighed, option)
    row = int(ranking.rows[place])
    chosen = Assembler(weighed).option(row, rank=place + 1)
    power = power_steps(weighed, chosen, row)
    stays_w = stays_up_to_w(weighed, chosen, row)
    dimensions, cones = _dimensions(weighed), _cones(weighed)
    currency = weighed.job.workshop.currency
    return Tradeoffs(
        option=chosen.id,
        currency=currency,
        dimensions=dimensions,
        cones=cones,
        kinds=_kinds(weighed),
        power=power,
        charging_stays_up_to_w=stays_w,
        loads=load_steps(weighed, chosen),
        sentences=(
            *tradeoff_words.room(dimensions),
            *tradeoff_words.cone(cones),
            *tradeoff_words.half_power(power),
            *(tradeoff_words.twice_the_power(power, currency) if chosen.amplifier else ()),
            *tradeoff_words.charging(stays_w),
        ),
    )


def _dimensions(weighed: Weighed) -> tuple[Dimension, ...]:
    """Return what keeps boxes out of the load space, most boxes first."""
    fit = weighed.whole_fit
    found = [
        *_kept_out_by(fit.fit, ~fit.fit.passes),
        *_kept_out_by(fit.opening, fit.fit.passes & ~fit.opening.passes),
    ]
    found.sort(key=lambda each: -each.leaves_out)
    return tuple(found[:MOST_DIMENSIONS])


def _kept_out_by(verdicts: VerdictTable, out: Bools) -> Iterator[Dimension]:
    for place, name in enumerate(verdicts.limits):
        here = out & (verdicts.limit_index == place)
        if here.any():
            short = -verdicts.margin[here]
            lets_in = tuple(int((short <= more).sum()) for more in MORE_MM)
            yield Dimension(name=name, leaves_out=int(here.sum()), more_mm=MORE_MM, lets_in=lets_in)


def _cones(weighed: Weighed) -> tuple[Group, ...]:
    enclosures = weighed.prepared.snapshot.enclosures
    inches = np.array([round(each.driver.size_m / INCH_M) for each in enclosures], dtype=int)
    return tuple(
        _group(weighed, f"{inch} in", inches == inch) for inch in sorted(set(inches.tolist()))
    )


def _kinds(weighed: Weighed) -> tuple[Group, ...]:
    kind = weighed.prepared.facts.kind
    return tuple(_group(weighed, name, kind == name) for name in ALL_BOX_KINDS)


def _group(weighed: Weighed, name: str, boxes: Bools) -> Group:
    """Tell of a group of boxes how many go in, and its loudest system within the budget."""
    fit, systems = weighed.whole_fit, weighed.systems
    go_in = boxes & fit.fit.passes & fit.opening.passes
    must = sum(1 << k for k, rule in enumerate(RULES) if rule.must or rule.name == "budget")
    offered = (systems.mask & np.uint32(must)) == 0
    rows = np.flatnonzero(offered & go_in[weighed.kept][systems.pairs.box])
    told = Group(name=name, boxes=int(boxes.sum()), go_in=int(go_in.sum()))
    if rows.size == 0:
        return told
    best = int(rows[np.argmax(systems.pairs.sure_level_db[rows])])
    box = int(weighed.kept[systems.pairs.box[best]])
    return told.model_copy(
        update={
            "best": weighed.prepared.snapshot.enclosures[box].id,
            "sure_level_db": float(systems.pairs.sure_level_db[best]),
            "sure_low_limit_hz": float(systems.pairs.sure_low_limit_hz[best]),
            "luggage_lost_m3": float(fit.luggage_lost_m3[box]),
            "price": float(systems.price[best]),
        }
    )
