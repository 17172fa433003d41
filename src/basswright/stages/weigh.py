"""Weigh every system of a catalogue for one job: space, drive, sound, supply, choose."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from basswright import drive, sound, space, supply
from basswright.choose import boxes as box_rules
from basswright.choose import goals, labour
from basswright.choose.amplifiers import BoxClasses, best_feeds, box_classes, with_known_load
from basswright.choose.feeds import Feeds
from basswright.choose.search import Pairs, evaluate, with_other_wish
from basswright.choose.systems import Boxes, Systems, judge
from basswright.errors import InputError, InputErrors
from basswright.records.enclosure import Enclosure
from basswright.records.job import Job
from basswright.records.levels import LevelTable
from basswright.records.placement import FitTable, Placement
from basswright.records.snapshot import Snapshot
from basswright.sound.cabin import CabinModel
from basswright.stages.kin import cabin_of, kin_of

#: Draws of the unknown that every box is weighed in; the first is the middle case.
DRAWS = 12

OnStep = Callable[[str], None]


def no_step(_step: str) -> None:
    """Report progress to nobody."""


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """What follows from a catalogue alone and serves every job.

    `snapshot` holds the boxes that can be weighed; `refused` tells of the others, each
    with what contradicts itself in its data sheet.
    """

    snapshot: Snapshot
    models: sound.BoxModels
    boxes: space.BoxTable
    outputs: drive.OutputTable
    classes: BoxClasses
    facts: box_rules.BoxFacts
    refused: tuple[InputError, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """Every system of a catalogue, weighed for one job.

    `kept` are the rows of the boxes that can be in an answer; `fit`, `own`, `levels` and
    `systems` speak of these, in this order, `whole_fit` of all. `placed` remembers where
    single boxes stand, by id.
    """

    job: Job
    prepared: Prepared
    solid: space.Solid
    cabin: CabinModel
    kept: NDArray[np.intp]
    whole_fit: FitTable
    fit: FitTable
    own: Boxes
    levels: LevelTable
    ladder: supply.SupplyLadder
    feeds: Feeds
    systems: Systems
    placed: dict[str, Placement] = field(default_factory=dict)


def prepare(snapshot: Snapshot, *, draws: int = DRAWS, seed: int = 0) -> Prepared:
    """Work out what follows from a catalogue alone.

    A box whose figures contradict each other is left out, so that one bad row of a
    sheet does not stand in the way of all other boxes.
    """
    try:
        return _prepared(snapshot, (), draws=draws, seed=seed)
    except InputErrors as error:
        bad = {problem.item for problem in error.errors}
        kept = tuple(each for each in snapshot.enclosures if each.id not in bad)
        if len(kept) == len(snapshot.enclosures):
            raise
        rest = replace(snapshot, enclosures=kept)
        return _prepared(rest, error.errors, draws=draws, seed=seed)


def _prepared(
    snapshot: Snapshot, refused: tuple[InputError, ...], *, draws: int, seed: int
) -> Prepared:
    _require_wirings(snapshot.enclosures)
    enclosures = tuple(with_known_load(each) for each in snapshot.enclosures)
    return Prepared(
        snapshot=snapshot,
        models=sound.box_models(enclosures, draws=draws, seed=seed),
        boxes=space.box_table(snapshot.enclosures),
        outputs=drive.outputs(snapshot.amplifiers),
        classes=box_classes(enclosures),
        facts=box_rules.box_facts(snapshot.enclosures, snapshot.fixings),
        refused=refused,
    )


def _require_wirings(enclosures: Sequence[Enclosure]) -> None:
    """Refuse boxes whose terminals do not make the load that their sheet states."""
    problems = []
    for each in enclosures:
        if each.terminals is None:
            continue
        try:
            drive.loads_of(each)
        except InputError as error:
            problems.append(error)
    if problems:
        raise InputErrors(problems)


def weigh(
    job: Job,
    catalogue: Snapshot | Prepared,
    *,
    previous: Weighed | None = None,
    on_step: OnStep = no_step,
) -> Weighed:
    """Weigh every system of a catalogue for one job.

    Parameters
    ----------
    job : Job
    catalogue : Snapshot or Prepared
        A prepared one saves the work that does not depend on the car.
    previous : Weighed, optional
        The same catalogue, weighed for a job that differs a little: what its change does
        not touch is taken from there. The answer is the same without it.
    on_step : callable
        Told in a few words what comes next.

    Returns
    -------
    Weighed
    """
    on_step("reading the catalogue")
    prepared = catalogue if isinstance(catalogue, Prepared) else prepare(catalogue)
    before = _Before(job, previous if previous and previous.prepared is prepared else None)
    car, wish, workshop = job.car, job.wish, job.workshop

    on_step("trying every box in the load space")
    solid, whole_fit = before.fit() or _fit(job, prepared)
    hours = labour.box_hours(workshop.labour, car.charging.cable_route_m)
    whole_own = box_rules.judge_boxes(prepared.facts, whole_fit, wish=wish, hours=hours)
    kept = box_rules.may_be_answers(whole_own)
    own = box_rules.rows_of(whole_own, kept)

    on_step("computing what is heard, matching amplifiers, cables and fuses")
    fit = box_rules.rows_of_fit(whole_fit, kept)
    classes = prepared.classes.take(kept)
    with ThreadPoolExecutor(1) as beside:
        hearing = beside.submit(lambda: before.levels(kept) or _levels(job, prepared, fit, kept))
        ladder = before.ladder() or _ladder(job, prepared)
        feeds = before.feeds(kept) or _feeds(job, prepared, classes, ladder)
        cabin, levels = hearing.result()

    on_step("weighing whole systems")
    pairs = before.pairs(levels, feeds) or evaluate(
        levels,
        classes.of_box,
        feeds,
        wished_db=wish.level_db,
        certainty_share=wish.certainty_share,
    )
    systems = judge(
        own,
        feeds,
        pairs,
        wish=wish,
        hourly_rate=workshop.hourly_rate,
        tax_share=workshop.tax_share,
    )
    return Weighed(
        job=job,
        prepared=prepared,
        solid=solid,
        cabin=cabin,
        kept=kept,
        whole_fit=whole_fit,
        fit=fit,
        own=own,
        levels=levels,
        ladder=ladder,
        feeds=feeds,
        systems=systems,
        placed=before.placed(),
    )


def _fit(job: Job, prepared: Prepared) -> tuple[space.Solid, FitTable]:
    solid = space.solid(job.car.load_space)
    return solid, space.fit(solid, prepared.boxes, clearance_m=job.wish.clearance_m)


def _levels(
    job: Job, prepared: Prepared, fit: FitTable, kept: NDArray[np.intp]
) -> tuple[CabinModel, LevelTable]:
    cabin = cabin_of(job, kin_of(job, prepared.snapshot))
    models = prepared.models.take(kept.tolist())
    transfer = cabin.transfer(goals.GRID_HZ, fit.cone_m, draws=models.shape[1])
    return cabin, sound.level_table(
        models, goals.GRID_HZ, transfer, lowpass_hz=job.wish.crossover_hz
    )


def _ladder(job: Job, prepared: Prepared) -> supply.SupplyLadder:
    rules = supply.SupplyRules(hourly_rate=job.workshop.hourly_rate)
    return supply.ladder(job.car.charging, prepared.snapshot, rules=rules)


def _feeds(job: Job, prepared: Prepared, classes: BoxClasses, ladder: supply.SupplyLadder) -> Feeds:
    return best_feeds(
        classes,
        prepared.outputs,
        ladder,
        prepared.snapshot,
        supply_voltage_v=job.car.charging.running_voltage_v,
        workshop=job.workshop,
    )


@dataclass(frozen=True)
class _Before:
    """What may be taken over from an earlier weighing, part by part."""

    job: Job
    weighed: Weighed | None

    def fit(self) -> tuple[space.Solid, FitTable] | None:
        """Load space and fit, when neither space nor clearance changed."""
        old = self.weighed
        if old is None or old.job.car.load_space != self.job.car.load_space:
            return None
        if old.job.wish.clearance_m != self.job.wish.clearance_m:
            return None
        return old.solid, old.whole_fit

    def placed(self) -> dict[str, Placement]:
        """Boxes that were placed already, when neither space nor clearance changed."""
        return self.weighed.placed if self.weighed is not None and self.fit() else {}

    def levels(self, kept: NDArray[np.intp]) -> tuple[CabinModel, LevelTable] | None:
        """Cabin and levels, when boxes, places, cabin, ears and filter are the same."""
        old, new = self.weighed, self.job
        if old is None or self.fit() is None or not np.array_equal(old.kept, kept):
            return None
        same = (
            old.job.car.body == new.car.body
            and old.job.car.cabin == new.car.cabin
            and old.job.car.listener == new.car.listener
            and old.job.car.cabin_measurement == new.car.cabin_measurement
            and kin_of(old.job, old.prepared.snapshot) == kin_of(new, old.prepared.snapshot)
            and old.job.wish.crossover_hz == new.wish.crossover_hz
        )
        return (old.cabin, old.levels) if same else None

    def ladder(self) -> supply.SupplyLadder | None:
        """Supplies, when neither the charging system nor the hourly rate changed."""
        old, new = self.weighed, self.job
        if old is None or old.job.car.charging != new.car.charging:
            return None
        same = old.job.workshop.hourly_rate == new.workshop.hourly_rate
        return old.ladder if same else None

    def feeds(self, kept: NDArray[np.intp]) -> Feeds | None:
        """Amplifiers, when supplies, boxes and labour times are the same."""
        old = self.weighed
        if old is None or self.ladder() is None or not np.array_equal(old.kept, kept):
            return None
        return old.feeds if old.job.workshop.labour == self.job.workshop.labour else None

    def pairs(self, levels: LevelTable, feeds: Feeds) -> Pairs | None:
        """What every pair gives, when levels, amplifiers and the wished sound are the same."""
        old, wish = self.weighed, self.job.wish
        if old is None or old.levels is not levels or old.feeds is not feeds:
            return None
        if old.job.wish.certainty_share != wish.certainty_share:
            return None
        if old.job.wish.level_db == wish.level_db:
            return old.systems.pairs
        return with_other_wish(
            old.systems.pairs,
            levels,
            feeds,
            wished_db=wish.level_db,
            certainty_share=wish.certainty_share,
        )


__all__ = ["DRAWS", "OnStep", "Prepared", "Weighed", "no_step", "prepare", "weigh"]
