"""Which wires are laid, from where to where."""

from __future__ import annotations

from math import pi

from basswright.papers.facts import Run
from basswright.records.job import Job
from basswright.records.system import Option, SupplyPlan


def cable_name(plan: SupplyPlan) -> str:
    """Return the feed cable with its size, which is not said twice."""
    name, size = f"{plan.cable.maker} {plan.cable.model}", cable_size(plan)
    size = size.partition(" (")[0]
    return name if size in name else f"{name}, {size}"


def cable_size(plan: SupplyPlan, *, lengths: str = "metric") -> str:
    """Return the size of the feed cable as it is named in its series.

    Where the workshop thinks in the other series, the size there stands beside it: the
    area of an AWG size in square millimetres, or the next AWG size that is no thinner.
    """
    cable = plan.cable
    if cable.series == "mm2":
        size = f"{cable.size} mm²"
        gauge = gauge_of_at_least(float(cable.size)) if lengths == "inch" else ""
        return f"{size} ({gauge} AWG)" if gauge else size
    size = f"{cable.size} {cable.series}"
    if cable.series != "AWG" or lengths == "inch":
        return size
    area_mm2 = gauge_area_mm2(cable.size)
    return f"{size} ({area_mm2:.{0 if area_mm2 >= 10 else 1}f} mm²)"


def gauge_area_mm2(gauge: str) -> float:
    """Return the area of an AWG size [mm2]; "1/0" to "4/0" are the ones beyond 0.

    Notes
    -----
    d = 0.127 mm 92^((36 - n) / 39).

    References
    ----------
    ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes.
    """
    number = 1 - int(gauge.removesuffix("/0")) if gauge.endswith("/0") else int(gauge)
    diameter_mm: float = 0.127 * 92 ** ((36 - number) / 39)
    return pi / 4 * diameter_mm**2


def gauge_of_at_least(area_mm2: float) -> str:
    """Return the thinnest AWG size that has at least this area; empty where none has.

    Two per cent less counts as the same.
    """
    every = [f"{n}/0" for n in (4, 3, 2, 1)] + [str(n) for n in range(1, 21)]
    enough = [gauge for gauge in every if gauge_area_mm2(gauge) >= 0.98 * area_mm2]
    return enough[-1] if enough else ""


def runs(job: Job, option: Option) -> tuple[Run, ...]:
    """Return every wire of a system, with its terminals after DIN 72552."""
    plan, amplifier = option.supply, option.amplifier
    size = cable_size(plan, lengths=job.workshop.lengths)
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
