"""What becomes of data sheets whose figures clash."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from basswright.catalogue import plausibility
from basswright.catalogue.plausibility import PlausibilityReport
from basswright.drive import OutputTable
from basswright.records.snapshot import Snapshot
from basswright.records.wish import Wish

_NOTHING = PlausibilityReport(checked=0, clashes=())


@dataclass(frozen=True, kw_only=True)
class Clashes:
    """What was found in the data sheets of a catalogue."""

    boxes: PlausibilityReport = _NOTHING
    amplifiers: PlausibilityReport = _NOTHING


NO_CLASHES = Clashes()


def clashes_in(snapshot: Snapshot) -> Clashes:
    """Hold the figures of every data sheet against one another."""
    return Clashes(
        boxes=plausibility.check(snapshot.enclosures),
        amplifiers=plausibility.check_amplifiers(snapshot.amplifiers),
    )


def without_amplifiers(outputs: OutputTable, snapshot: Snapshot, clashes: Clashes) -> OutputTable:
    """Return the outputs with those barred from every load whose amplifier contradicts itself."""
    out = clashes.amplifiers.ids("contradiction")
    if not out:
        return outputs
    barred = np.array([each.id in out for each in snapshot.amplifiers])[outputs.amplifier_index]
    lowest = np.where(barred, np.inf, outputs.lowest_load_ohm)
    return replace(outputs, lowest_load_ohm=lowest)


def told(wish: Wish, clashes: Clashes) -> tuple[str, ...]:
    """Tell how many data sheets clash, and what became of them."""
    found = []
    for name, report in (("boxes", clashes.boxes), ("amplifiers", clashes.amplifiers)):
        worse, doubtful = len(report.ids("contradiction")), len(report.ids("doubtful"))
        if not worse + doubtful:
            continue
        what = {
            "take as told": "taken as told",
            "trust less": "trusted less: a wide band around what clashes"
            if name == "boxes"
            else "taken at what fuse and loads allow",
            "leave out": "the first left out, the others trusted less",
        }[wish.doubtful_sheets]
        found.append(
            f"data sheets of {worse} {name} contradict themselves, those of {doubtful} are "
            f"doubtful; {what} (wish.doubtful_sheets)"
        )
    return tuple(found)
