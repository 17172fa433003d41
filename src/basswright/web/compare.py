"""Two or three systems side by side: the figures, and a sentence a customer understands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from basswright.records.job import Job
from basswright.records.system import Option

if TYPE_CHECKING:
    from basswright.stages.system import System


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line of the comparison; `best` are the columns that win it."""

    name: str
    cells: tuple[str, ...]
    best: tuple[int, ...]


def rows(job: Job, options: Sequence[Option]) -> list[Row]:
    """Return the figures of each option, line by line."""
    currency = job.workshop.currency
    return [
        _row("Surely as loud as", options, lambda o: o.goals.sure_level_db, "{:.1f} dB", 1),
        _row("Surely as low as", options, lambda o: o.goals.sure_low_limit_hz, "{:.0f} Hz", -1),
        _row("Price, all in", options, lambda o: o.goals.price, "{:,.0f} " + currency, -1),
        _row("Luggage left", options, lambda o: o.goals.luggage_left_m3 * 1000, "{:.0f} L", 1),
        _row("Room to spare", options, _room_mm, "{:.0f} mm", 1),
        _row("Power used", options, lambda o: o.match.used_w, "{:.0f} W", 0),
        _row("Total load", options, lambda o: o.match.load_ohm, "{:g} ohm", 0),
        _row("Current, full sine", options, lambda o: o.supply.peak_current_a, "{:.0f} A", -1),
        _row("Left over at idle", options, lambda o: o.supply.idle_balance_a, "{:+.0f} A", 1),
        _row("Fuse", options, lambda o: o.supply.fuse.rating_a, "{:.0f} A", 0),
        _row("Work", options, lambda o: o.goals.ease, "{:.1f} h", -1),
    ]


def sentences(systems: Sequence[System]) -> list[str]:
    """Return for each system after the first what it gives and costs against the first."""
    from basswright.stages import compare

    told = []
    for each in systems[1:]:
        name = f"{each.option.enclosure.maker} {each.option.enclosure.model}"
        sentence = compare(systems[0], each).sentence
        told.append(f"{name}: {sentence.removeprefix('The second system ')}")
    return told


def _room_mm(option: Option) -> float:
    """Return what the box could grow in the dimension that decides, clearance kept."""
    return next(each.margin for each in option.placement.verdicts if each.rule == "space")


def _row(
    name: str,
    options: Sequence[Option],
    value: Callable[[Option], float],
    form: str,
    better: int,
) -> Row:
    values = [value(option) for option in options]
    cells = tuple(form.format(each).replace(",", "\u202f") for each in values)
    best: tuple[int, ...] = ()
    if better and len(set(cells)) > 1:
        top = max(each * better for each in values)
        best = tuple(i for i, each in enumerate(values) if each * better == top)
    return Row(name=name, cells=cells, best=best)
