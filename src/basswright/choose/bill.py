"""The lines of a price: parts first, then work."""

from __future__ import annotations

from basswright.choose import labour
from basswright.records.amplifier import Amplifier
from basswright.records.electrics import Fixing
from basswright.records.enclosure import Enclosure
from basswright.records.job import Job
from basswright.records.system import PriceLine, SupplyPlan


def lines(
    job: Job,
    enclosure: Enclosure,
    amplifier: Amplifier | None,
    plan: SupplyPlan,
    fixing: Fixing | None,
) -> tuple[PriceLine, ...]:
    """Return every line of a system's price, without tax."""
    parts: list[Enclosure | Amplifier | Fixing] = [enclosure]
    parts += [part for part in (amplifier, fixing) if part is not None]
    work = labour.lines(
        job.workshop.labour,
        job.car,
        separate=amplifier is not None,
        upgrade_s=plan.labour_s,
        hourly_rate=job.workshop.hourly_rate,
    )
    return (
        *(_line(each.id, f"{each.maker} {each.model}", each.price) for each in parts),
        *feed_lines(plan),
        *work,
    )


def feed_lines(plan: SupplyPlan) -> tuple[PriceLine, ...]:
    """Return the lines of cable, fuses, holders and upgrades."""
    second = plan.battery is not None and plan.battery.role == "second"
    fuses = 2.0 if second else 1.0
    cable = plan.cable
    found = [
        _line(
            cable.id,
            f"{cable.maker} {cable.model}",
            cable.price,
            plan.cable_length_m + plan.ground_length_m,
            "m",
        ),
        _line(plan.fuse.id, f"{plan.fuse.maker} {plan.fuse.model}", plan.fuse.price, fuses),
        _line(
            plan.fuse_holder.id,
            f"{plan.fuse_holder.maker} {plan.fuse_holder.model}",
            plan.fuse_holder.price,
            fuses,
        ),
    ]
    found += [
        _line(part.id, f"{part.maker} {part.model}", part.price)
        for part in (plan.battery, plan.alternator)
        if part is not None
    ]
    return tuple(found)


def _line(part_id: str, what: str, each: float, count: float = 1.0, unit: str = "") -> PriceLine:
    return PriceLine(what=what, part_id=part_id, count=count, unit=unit, each=each, kind="part")
