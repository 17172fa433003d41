"""Which wires are laid, from where to where."""

from __future__ import annotations

from basswright.papers.facts import Run
from basswright.records.job import Job
from basswright.records.system import Option, SupplyPlan


def cable_name(plan: SupplyPlan) -> str:
    """Return the feed cable with its size, which is not said twice."""
    name, size = f"{plan.cable.maker} {plan.cable.model}", cable_size(plan)
    return name if size in name else f"{name}, {size}"


def cable_size(plan: SupplyPlan) -> str:
    """Return the size of the feed cable as it is named in its series."""
    cable = plan.cable
    return f"{cable.size} mm²" if cable.series == "mm2" else f"{cable.size} {cable.series}"


def runs(job: Job, option: Option) -> tuple[Run, ...]:
    """Return every wire of a system, with its terminals after DIN 72552."""
    plan, size, amplifier = option.supply, cable_size(option.supply), option.amplifier
    speaker = job.car.head_unit.signal == "speaker"
    laid = [
        Run(
            purpose="feed",
            from_terminal="30",
            to_terminal="30",
            size=size,
            length_m=plan.cable_length_m,
            fuse_a=plan.fuse.rating_a,
        ),
        Run(
            purpose="ground",
            from_terminal="31",
            to_terminal="31",
            size=size,
            length_m=plan.ground_length_m,
        ),
    ]
    if amplifier is None or not amplifier.signal_sensing:
        route_m = job.car.charging.cable_route_m
        laid.append(Run(purpose="remote", from_terminal="75", length_m=route_m))
    laid.append(Run(purpose="signal", from_terminal="76" if speaker else ""))
    if amplifier is not None:
        laid.append(Run(purpose="loudspeaker", from_terminal="76", to_terminal="76"))
    return tuple(laid)
