"""Whole systems: 10,000 boxes with 2,000 amplifiers, ranked with reasons, against brute force.

Run with ``python -m benchmarks.choose``. Everything is timed in this one run.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from statistics import median

import numpy as np
import polars

from basswright import jobs, stages
from basswright.catalogue import demo
from basswright.choose import concessions
from basswright.choose.amplifiers import best_feeds, feeds_for
from basswright.choose.pareto import front, goals_to_lower
from basswright.choose.rules import RULES
from basswright.choose.search import evaluate
from basswright.choose.systems import judge
from basswright.records.job import Job
from basswright.stages.options import of_weighed

BOXES, AMPLIFIERS = 10_000, 2_000
RUNS = 5


def _timed(work: Callable[[], object], runs: int = RUNS) -> tuple[float, float]:
    """Median wall and processor time of a call [s]."""
    wall, cpu = [], []
    for _ in range(runs):
        begun, spent = time.perf_counter(), time.process_time()
        work()
        wall.append(time.perf_counter() - begun)
        cpu.append(time.process_time() - spent)
    return median(wall), median(cpu)


def _moved(job: Job, **changes: float) -> Job:
    return job.model_copy(update={"wish": job.wish.model_copy(update=changes)})


def _exclusions(items: int) -> list[tuple[str, float, float]]:
    """Time the count of what each rule alone leaves out, ours beside polars, equal answers."""
    rng = np.random.default_rng(0)
    fails = rng.random((items, len(RULES))) < 0.12
    mask = (fails * (1 << np.arange(len(RULES)))).sum(axis=1).astype(np.uint32)
    columns = {rule.name: fails[:, place] for place, rule in enumerate(RULES)}
    frame = polars.DataFrame(columns)
    failures = polars.sum_horizontal(polars.all())
    lone = [(polars.col(name) & (failures == 1)).sum().alias(name) for name in columns]

    def ours() -> tuple[int, ...]:
        return concessions.lone_failures(mask)

    def theirs() -> tuple[int, ...]:
        return tuple(frame.select(lone).row(0))

    assert ours() == theirs()
    return [
        (f"exclusion counts, {items:,} items, ours", *_timed(ours, 15)),
        (f"exclusion counts, {items:,} items, polars", *_timed(theirs, 15)),
    ]


def main() -> None:
    """Print the table."""
    job = jobs.parse_job(jobs.sample_text("hatchback"))
    snapshot = demo.make(enclosures=BOXES, amplifiers=AMPLIFIERS).snapshot
    small = stages.prepare(demo.make(enclosures=60, amplifiers=40).snapshot)
    of_weighed(stages.weigh(job, small))  # compile
    rows: list[tuple[str, float, float]] = []
    rows.append(("prepare the catalogue", *_timed(lambda: stages.prepare(snapshot), 1)))
    prepared = stages.prepare(snapshot)
    cold = _timed(lambda: of_weighed(stages.weigh(job, prepared), readings=False))
    rows.append(("a new car: weigh all, rank, reasons", *cold))
    weighed = stages.weigh(job, prepared)
    for name, changes in (
        ("slider: budget", {"budget": 1100.0}),
        ("slider: luggage", {"luggage_keep_m3": 0.24}),
        ("slider: level", {"level_db": 119.0}),
        ("slider: low limit", {"low_limit_hz": 33.0}),
        ("slider: certainty", {"certainty_share": 0.9}),
        ("slider: clearance", {"clearance_m": 0.01}),
    ):
        moved = _moved(job, **changes)
        rows.append(
            (
                name,
                *_timed(
                    lambda moved=moved: of_weighed(
                        stages.weigh(moved, prepared, previous=weighed), readings=False
                    )
                ),
            )
        )
    alone = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    systems = of_weighed(weighed, readings=False).systems
    wish, workshop, charging = job.wish, job.workshop, job.car.charging
    classes = prepared.classes.take(weighed.kept)

    def brute() -> object:
        feeds = feeds_for(
            classes,
            prepared.outputs,
            weighed.ladder,
            snapshot,
            supply_voltage_v=charging.running_voltage_v,
            workshop=workshop,
        )
        pairs = evaluate(
            weighed.levels,
            classes.of_box,
            feeds,
            wished_db=wish.level_db,
            certainty_share=wish.certainty_share,
        )
        systems = judge(
            weighed.own,
            feeds,
            pairs,
            wish=wish,
            hourly_rate=workshop.hourly_rate,
            tax_share=workshop.tax_share,
        )
        goals = goals_to_lower(systems, np.flatnonzero(systems.mask == 0))
        return np.unique(goals[front(goals)], axis=0), pairs.box.size

    begun = time.process_time()
    brute_front, brute_pairs = brute()
    brute_cpu = time.process_time() - begun

    def ours() -> object:
        again = stages.weigh(job, prepared, previous=None)
        goals = goals_to_lower(again.systems, np.flatnonzero(again.systems.mask == 0))
        return np.unique(goals[front(goals)], axis=0)

    our_front = ours()
    _, prune_cpu = _timed(
        lambda: best_feeds(
            classes,
            prepared.outputs,
            weighed.ladder,
            snapshot,
            supply_voltage_v=charging.running_voltage_v,
            workshop=workshop,
        ),
        3,
    )
    _, search_cpu = _timed(
        lambda: evaluate(
            weighed.levels,
            classes.of_box,
            weighed.feeds,
            wished_db=wish.level_db,
            certainty_share=wish.certainty_share,
        )
    )
    same = our_front.shape == brute_front.shape and np.allclose(our_front, brute_front)
    counts = _timed(lambda: concessions.counts(weighed.systems), 15)
    rows.append((f"exclusion counts, {weighed.systems.mask.size:,} systems", *counts))
    rows += _exclusions(20_000)
    print(f"{'':44s}{'wall ms':>10s}{'CPU ms':>10s}")
    for name, wall, cpu in rows:
        print(f"{name:44s}{wall * 1e3:10.1f}{cpu * 1e3:10.1f}")
    print(f"whole systems, every wiring with every output: {systems:,}")
    print(f"pairs: brute force {brute_pairs:,}, ours {weighed.systems.mask.size:,}")
    print(f"brute force, pairs only: {brute_cpu:.1f} s CPU; ours {search_cpu * 1e3:.0f} ms CPU")
    print(f"choosing the amplifiers worth trying: {prune_cpu * 1e3:.0f} ms CPU")
    whole, plain = brute_cpu / (search_cpu + prune_cpu), brute_cpu / search_cpu
    print(f"ratio {plain:.0f}, with that choice {whole:.0f}; front of {len(our_front)}", end=" ")
    print(f"identical: {same}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"peak memory: {alone:.0f} MB, brute force included {peak:.0f} MB")


if __name__ == "__main__":
    main()
