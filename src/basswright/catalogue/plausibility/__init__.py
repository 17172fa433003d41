"""Is a data sheet possible? Contradictions of physics, flagged with the figures that clash.

A clash never removes anything by itself: the workshop decides whether to leave the item
out (:func:`left_out`) or to trust it less (:func:`trusted_less`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from basswright.catalogue.plausibility.amplifier_rules import AMPLIFIER_RULES
from basswright.catalogue.plausibility.box_rules import BODY_RULES
from basswright.catalogue.plausibility.figures import BoxFigures, of_amplifiers, of_boxes
from basswright.catalogue.plausibility.findings import Clash, Rule, Severity, Table
from basswright.catalogue.plausibility.sound_rules import SOUND_RULES
from basswright.records.amplifier import Amplifier
from basswright.records.base import Origin
from basswright.records.enclosure import Enclosure

__all__ = [
    "AMPLIFIER_RULES",
    "BOX_RULES",
    "Clash",
    "PlausibilityReport",
    "check",
    "check_amplifiers",
    "clashes_of",
    "left_out",
    "trusted_less",
]

BOX_RULES: Final[tuple[Rule[BoxFigures], ...]] = (*SOUND_RULES, *BODY_RULES)

#: Band in which a figure is still believed once it clashed: factors of the told figure,
#: for the sensitivity decibels. Common practice, no source.
_BANDS: Final[dict[str, tuple[float, float]]] = {
    "sensitivity_db": (-6.0, 1.0),
    "low_limit_hz": (0.9, 1.6),
    "net_volume_m3": (0.6, 1.1),
    "tuning_hz": (0.8, 1.3),
    "power_low_w": (0.3, 1.0),
    "power_high_w": (0.25, 1.0),
    "mass_kg": (0.5, 2.0),
    "load_ohm": (0.5, 2.0),
}


@dataclass(frozen=True, kw_only=True)
class PlausibilityReport:
    """What was found in so many data sheets.

    Attributes
    ----------
    checked : int
    clashes : tuple of Clash
        In the order of the rules, then of the items.
    """

    checked: int
    clashes: tuple[Clash, ...]

    @cached_property
    def by_id(self) -> dict[str, tuple[Clash, ...]]:
        """The clashes of each item that has any."""
        found: dict[str, tuple[Clash, ...]] = {}
        for clash in self.clashes:
            found[clash.id] = (*found.get(clash.id, ()), clash)
        return found

    def ids(self, severity: Severity) -> frozenset[str]:
        """Return the ids of the items with a clash of this severity."""
        return frozenset(c.id for c in self.clashes if c.severity == severity)


def check(enclosures: Sequence[Enclosure]) -> PlausibilityReport:
    """Look for contradictions in the data sheets of enclosures.

    Parameters
    ----------
    enclosures : sequence of Enclosure

    Returns
    -------
    PlausibilityReport
    """
    figures = of_boxes(enclosures)
    ids = [enclosure.id for enclosure in enclosures]
    clashes = [clash for rule in BOX_RULES for clash in _apply(rule, figures, ids)]
    return PlausibilityReport(checked=len(ids), clashes=tuple(clashes))


def check_amplifiers(amplifiers: Sequence[Amplifier]) -> PlausibilityReport:
    """Look for contradictions in the data sheets of amplifiers."""
    figures = of_amplifiers(amplifiers)
    ids = [amplifier.id for amplifier in amplifiers]
    clashes = [clash for rule in AMPLIFIER_RULES for clash in _apply(rule, figures, ids)]
    return PlausibilityReport(checked=len(ids), clashes=tuple(clashes))


def clashes_of(items: Sequence[object]) -> dict[str, tuple[Clash, ...]]:
    """Return the clashes of each item that has any, by id; of boxes and amplifiers alone."""
    boxes = [each for each in items if isinstance(each, Enclosure)]
    amplifiers = [each for each in items if isinstance(each, Amplifier)]
    return {**check(boxes).by_id, **check_amplifiers(amplifiers).by_id}


def left_out(
    enclosures: Sequence[Enclosure], report: PlausibilityReport, *, doubtful_too: bool = False
) -> tuple[Enclosure, ...]:
    """Return the enclosures without those that contradict physics (or are doubtful)."""
    out = report.ids("contradiction")
    if doubtful_too:
        out |= report.ids("doubtful")
    return tuple(enclosure for enclosure in enclosures if enclosure.id not in out)


def trusted_less(
    enclosures: Sequence[Enclosure], report: PlausibilityReport
) -> tuple[Enclosure, ...]:
    """Return the enclosures with a wide band around every figure that clashed."""
    return tuple(
        _with_bands(enclosure, report.by_id[enclosure.id])
        if enclosure.id in report.by_id
        else enclosure
        for enclosure in enclosures
    )


def _apply(rule: Rule[Table], figures: Table, ids: Sequence[str]) -> list[Clash]:
    if not ids:
        return []
    with np.errstate(divide="ignore", invalid="ignore"):
        finding = rule.judge(figures)
        rows = np.flatnonzero(finding.excess > finding.doubtful_from).tolist()
        shown = [rule.shows(figures, row) for row in rows]
    return [
        Clash(
            id=ids[row],
            rule=rule.name,
            severity="contradiction"
            if finding.excess[row] >= finding.contradiction_from
            else "doubtful",
            sentence=rule.sentence.format(**words),
            figures=tuple((name, word) for name, word in words.items() if name != "hint"),
            fields=rule.fields,
            excess=float(finding.excess[row]),
            unit=rule.unit,
        )
        for row, words in zip(rows, shown, strict=True)
    ]


def _with_bands(enclosure: Enclosure, clashes: Sequence[Clash]) -> Enclosure:
    origins = dict(enclosure.origins)
    for clash in clashes:
        for field in clash.fields:
            told = getattr(enclosure, field, None)
            if not isinstance(told, float):
                continue
            low, high = _BANDS[field]
            ends = (told + low, told + high) if field.endswith("_db") else (told * low, told * high)
            origins[field] = Origin(
                kind="estimated", low=ends[0], high=ends[1], note=clash.sentence
            )
    return enclosure.model_copy(update={"origins": origins})
