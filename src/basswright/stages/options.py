"""The stage Options: whole priced systems in order, and what was left out and why."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.choose import concessions, reasons
from basswright.choose.ranking import Ranking, rank, shortfall
from basswright.choose.rules import INDEX, RULES
from basswright.records.enclosure import Enclosure
from basswright.records.job import Job
from basswright.records.options import Concession, Nearest, Options, RuleCount
from basswright.records.snapshot import Snapshot
from basswright.records.wish import ALL_BOX_KINDS
from basswright.stages.assemble import Assembler, estimates_of
from basswright.stages.readings import sensitivities
from basswright.stages.weigh import OnStep, Prepared, Weighed, no_step, weigh

#: One step of each rule, for the smallest change of two rules; a kind counts as two steps.
_STEP = {"mm": 10.0, "L": 20.0, "dB": 1.0, "Hz": 3.0, "A": 20.0, "": 0.5}

#: Readings are told when one of the best so many options hangs on them.
HUNG_ON = 3
#: What a person takes in of a list while a slider moves.
AT_A_GLANCE = 6
#: More changes than this are not told.
MOST_CONCESSIONS = 8
#: A change is small up to so many steps in all.
MOST_STEPS = 5.0


def options(
    job: Job,
    catalogue: Snapshot | Prepared,
    *,
    most: int = 12,
    on_step: OnStep = no_step,
) -> Options:
    """Return whole priced systems for a job, best first, with reasons.

    Parameters
    ----------
    job : Job
    catalogue : Snapshot or Prepared
    most : int
        How many systems to show; corner points ("loudest", "cheapest") may come on top.
    on_step : callable
        Told in a few words what comes next.

    Returns
    -------
    Options
        Never empty while any box goes in: when nothing meets every wish, what comes
        nearest is shown and `wish_met` is False.
    """
    return of_weighed(weigh(job, catalogue, on_step=on_step), most=most, on_step=on_step)


def of_weighed(
    weighed: Weighed,
    *,
    most: int = 12,
    readings: bool = True,
    brief: bool = False,
    on_step: OnStep = no_step,
) -> Options:
    """Return the options of a job that was weighed already.

    `readings` False leaves out which readings the best options hang on, which takes
    longer than a person's glance. `brief` gives the first few options alone, for a list
    that follows a moving slider: no more of them than :data:`AT_A_GLANCE`, and neither
    what each rule leaves out nor what a small change would bring, nor the readings.
    """
    on_step("telling the reasons")
    job, systems, snapshot = weighed.job, weighed.systems, weighed.prepared.snapshot
    ranking = rank(systems, most=most, budget=job.wish.budget)
    shown = Assembler(weighed).options(ranking, first=AT_A_GLANCE if brief else None)
    hang_on = readings and ranking.wish_met and not brief
    return Options(
        job_id=job.id,
        currency=job.workshop.currency,
        boxes=len(snapshot.enclosures),
        amplifiers=len(snapshot.amplifiers),
        systems=_system_count(weighed),
        wish_met=ranking.wish_met,
        nearest=() if ranking.wish_met else _nearest(weighed, ranking),
        options=shown,
        rules=() if brief else _rule_counts(weighed),
        concessions=() if brief else _concessions(weighed, ranking),
        readings=sensitivities(weighed, shown[:HUNG_ON]) if hang_on else (),
        cabin_model=f"{weighed.cabin.name}: {weighed.cabin.why}",
        estimates=estimates_of(job),
        refused=tuple(str(problem) for problem in weighed.prepared.refused),
    )


def _system_count(weighed: Weighed) -> int:
    """Count every wiring of every box with every output, and the boxes that bring their own."""
    classes = weighed.prepared.classes
    wirings = np.zeros(classes.load_ohm.size, dtype=np.intp)
    for which, _ in classes.wirings():
        wirings[which] += 1
    built_in = int(weighed.prepared.facts.built_in.sum())
    return int(wirings[classes.of_box].sum()) * len(weighed.prepared.outputs) + built_in


def _nearest(weighed: Weighed, ranking: Ranking) -> tuple[Nearest, ...]:
    """Tell what the first option lacks, or, where none may be offered, the nearest system."""
    rows, systems = ranking.rows[:1], weighed.systems
    if rows.size == 0:
        every = np.arange(systems.mask.size)
        if every.size == 0:
            return ()
        rows = every[[shortfall(systems, every, budget=weighed.job.wish.budget).argmin()]]
    margins = systems.margins(rows)[0]
    box = int(weighed.kept[systems.pairs.box[rows[0]]])
    return tuple(
        Nearest(
            enclosure=weighed.prepared.snapshot.enclosures[box].id,
            rule=rule.name,
            title=rule.title,
            short_by=-float(margin),
            unit=_unit(rule.unit, weighed.job.workshop.currency),
        )
        for rule, margin in zip(RULES, margins, strict=True)
        if margin < -1e-9
    )


def _unit(unit: str, currency: str) -> str:
    return currency if unit == "money" else unit


def _rule_counts(weighed: Weighed) -> tuple[RuleCount, ...]:
    counted = concessions.counts(weighed.systems)
    dropped = len(weighed.prepared.snapshot.enclosures) - weighed.kept.size
    found = [
        RuleCount(
            rule=RULES[count.rule].name,
            title=RULES[count.rule].title,
            alone=count.alone,
            in_all=count.in_all,
        )
        for count in counted
    ]
    if dropped:
        found.append(
            RuleCount(
                rule="several at once",
                title="fail three or more rules of their own",
                alone=0,
                in_all=dropped,
            )
        )
    return tuple(found)


def _concessions(weighed: Weighed, ranking: Ranking) -> tuple[Concession, ...]:
    systems, fit = weighed.systems, weighed.fit
    best = int(ranking.rows[0]) if ranking.wish_met else -1
    best_score = float(systems.score[best]) if best >= 0 else -float("inf")
    limits: dict[int, tuple[NDArray[np.intp], tuple[str, ...]]] = {
        INDEX["space"]: (fit.fit.limit_index, fit.fit.limits),
        INDEX["opening"]: (fit.opening.limit_index, fit.opening.limits),
    }
    kinds = weighed.prepared.facts.kind[weighed.kept]
    limits[INDEX["box kind"]] = (_places(kinds), ALL_BOX_KINDS)
    changes = [*concessions.single(systems, best_score, limits)]
    steps = [
        0.1 * weighed.job.wish.budget if rule.unit == "money" else _STEP[rule.unit]
        for rule in RULES
    ]
    changes += concessions.pairs(systems, best_score, steps=steps)
    efforts = [
        sum(
            amount / steps[place]
            for place, amount in zip(change.rules, change.amounts, strict=True)
        )
        for change in changes
    ]
    if ranking.wish_met:
        worth = [
            effort <= MOST_STEPS and (change.better or change.admits > 0)
            for change, effort in zip(changes, efforts, strict=True)
        ]
    else:
        worth = [True] * len(changes)
    kept = [(c, e) for c, e, good in zip(changes, efforts, worth, strict=True) if good]
    kept.sort(key=lambda pair: (not pair[0].better, len(pair[0].rules), pair[1]))
    return tuple(_told(weighed, change, best) for change, _ in kept[:MOST_CONCESSIONS])


def _places(kinds: NDArray[np.str_]) -> NDArray[np.intp]:
    """Return the place of each kind among all kinds."""
    return np.array([ALL_BOX_KINDS.index(kind) for kind in kinds.tolist()], dtype=np.intp)


def _admits(change: concessions.Change, brings: str) -> str:
    """Tell what one or two changes let in, and what the best of it brings."""
    several, count = len(change.rules) > 1, change.admits
    if count == 0:
        text = f"{'bring' if several else 'brings'} a better system of a box that is in already"
        return f"{text}: {brings}" if brings else text
    text = f"{'admit' if several else 'admits'} {count} {'box' if count == 1 else 'boxes'}"
    if not brings:
        return text
    return f"{text}, the best of them {'' if change.better else 'no better by the score: '}{brings}"


def _limit(rule: str, enclosure: Enclosure) -> str:
    """Name what has to be allowed, where a rule allows or forbids."""
    if rule == "box kind":
        return enclosure.kind
    if rule == "built-in amplifier":
        return "separate" if enclosure.amplifier is None else "built-in"
    return ""


def _told(weighed: Weighed, change: concessions.Change, best: int) -> Concession:
    systems, row, currency = weighed.systems, change.row, weighed.job.workshop.currency
    pairs, snapshot = systems.pairs, weighed.prepared.snapshot
    against = best if best >= 0 else row
    enclosure = snapshot.enclosures[weighed.kept[pairs.box[row]]]
    output = int(weighed.feeds.output[pairs.feed[row]])
    amplifier = (
        ""
        if output < 0
        else snapshot.amplifiers[int(weighed.prepared.outputs.amplifier_index[output])].id
    )
    limits = tuple(
        limit or _limit(RULES[place].name, enclosure)
        for place, limit in zip(change.rules, change.limits, strict=True)
    )
    what = reasons.concession(change.rules, limits, change.amounts, currency)
    gain_db = float(pairs.sure_level_db[row] - pairs.sure_level_db[against])
    gain_hz = float(pairs.sure_low_limit_hz[against] - pairs.sure_low_limit_hz[row])
    left = systems.luggage_left_m3(np.array([row, against]))
    luggage = float(left[0] - left[1])
    extra = float(systems.price[row] - systems.price[against])
    brings = reasons.brings(gain_db, gain_hz, luggage, extra, currency) if best >= 0 else ""
    text = f"{' and '.join(what)} {_admits(change, brings)}"
    return Concession(
        rules=tuple(RULES[place].name for place in change.rules),
        what=what,
        amounts=change.amounts,
        units=tuple(_unit(RULES[place].unit, currency) for place in change.rules),
        admits=change.admits,
        enclosure=enclosure.id,
        amplifier=amplifier,
        gain_db=gain_db,
        gain_hz=gain_hz,
        gain_luggage_m3=luggage,
        extra_price=extra,
        better=change.better,
        text=text,
    )
