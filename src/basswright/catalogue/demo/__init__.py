"""An invented range to try everything with: physically consistent, and plainly invented.

No maker, model or price in it is real. The figures on its sheets are computed from
hidden parameters, which are handed out beside the catalogue and never stored with it,
so that a prediction made from a sheet can be compared with what the box truly does.
"""

from __future__ import annotations

from dataclasses import dataclass

from basswright.catalogue.demo.amplifiers import HiddenAmplifier
from basswright.catalogue.demo.hidden import HiddenBox
from basswright.records.snapshot import Snapshot

__all__ = ["DemoRange", "HiddenAmplifier", "HiddenBox", "make"]

CURRENCY = "EUR"


@dataclass(frozen=True, kw_only=True)
class DemoRange:
    """The range as a supplier tells it, and the truth behind it.

    Attributes
    ----------
    snapshot : Snapshot
    truth : dict
        Enclosure id -> :class:`HiddenBox`.
    amplifier_truth : dict
        Amplifier id -> :class:`HiddenAmplifier`.
    """

    snapshot: Snapshot
    truth: dict[str, HiddenBox]
    amplifier_truth: dict[str, HiddenAmplifier]


def make(seed: int = 1, *, enclosures: int = 1600, amplifiers: int = 440) -> DemoRange:
    """Make the invented range; the same seed and sizes give the same range.

    Parameters
    ----------
    seed : int
    enclosures, amplifiers : int
        How many of each; a share of 14 % of the enclosures brings its own amplifier.

    Returns
    -------
    DemoRange
    """
    import numpy as np

    from basswright.catalogue.demo import amplifiers as amplifier_range
    from basswright.catalogue.demo import enclosures as enclosure_range
    from basswright.catalogue.demo import extras, parts

    of_boxes, of_amplifiers, of_extras = np.random.default_rng(seed).spawn(3)
    boxes, truth = enclosure_range.draw(of_boxes, enclosures)
    boxes = extras.enclosures(of_extras, boxes, truth)
    amps, amplifier_truth = amplifier_range.draw(of_amplifiers, amplifiers)
    amps = extras.amplifiers(of_extras, amps)
    snapshot = Snapshot(
        currency=CURRENCY,
        enclosures=boxes,
        amplifiers=amps,
        cables=parts.cables(),
        fuses=parts.fuses(),
        fuse_holders=parts.fuse_holders(),
        batteries=parts.batteries(),
        alternators=parts.alternators(),
        fixings=parts.fixings(),
    )
    return DemoRange(snapshot=snapshot, truth=truth, amplifier_truth=amplifier_truth)
