"""Rules that catch data sheets of amplifiers that contradict physics or themselves."""

from __future__ import annotations

from typing import Final

import numpy as np

from basswright.catalogue.plausibility.figures import AmplifierFigures
from basswright.catalogue.plausibility.findings import Finding, Rule

#: Highest supply voltage of a running car [V]. Common practice, no source.
_LAST_V: Final = 15.0


def _amperes(figures: AmplifierFigures, i: int) -> float:
    return float(np.fmin(figures.fuse_a, figures.current_a)[i])


def _fuse(figures: AmplifierFigures) -> Finding:
    amperes = np.fmin(figures.fuse_a, figures.current_a)
    return Finding(
        excess=figures.total_w / (amperes * _LAST_V), doubtful_from=0.90, contradiction_from=1.0
    )


def _fuse_shown(figures: AmplifierFigures, i: int) -> dict[str, str]:
    amperes = _amperes(figures, i)
    return {
        "power": f"{figures.total_w[i]:.0f} W",
        "current": f"{amperes:.0f} A",
        "fed": f"{amperes * _LAST_V:.0f} W at {_LAST_V:.0f} V",
    }


def _loads(figures: AmplifierFigures) -> Finding:
    return Finding(excess=figures.steepest, doubtful_from=1.05, contradiction_from=1.25)


def _loads_shown(figures: AmplifierFigures, i: int) -> dict[str, str]:
    return {"rise": f"{figures.steepest[i]:.2f}"}


def _bridge(figures: AmplifierFigures) -> Finding:
    return Finding(excess=figures.bridged_ratio, doubtful_from=1.15, contradiction_from=1.5)


def _bridge_shown(figures: AmplifierFigures, i: int) -> dict[str, str]:
    return {"ratio": f"{figures.bridged_ratio[i]:.2f}"}


def _efficiency(figures: AmplifierFigures) -> Finding:
    told = np.where(figures.is_linear, figures.efficiency_share, np.nan)
    return Finding(excess=told, doubtful_from=0.68, contradiction_from=np.pi / 4)


def _efficiency_shown(figures: AmplifierFigures, i: int) -> dict[str, str]:
    return {"efficiency": f"{100 * figures.efficiency_share[i]:.0f} %"}


AMPLIFIER_RULES: Final[tuple[Rule[AmplifierFigures], ...]] = (
    Rule(
        name="power and fuse",
        description="An amplifier gives out less than its fuse or current lets in.",
        fields=("ratings",),
        sentence="{power} in all out of {current}, which feed {fed} before any loss; "
        "is it a peak figure?",
        unit="times",
        judge=_fuse,
        shows=_fuse_shown,
    ),
    Rule(
        name="power and load",
        description="At a fixed voltage half the load takes twice the power, not more.",
        fields=("ratings",),
        sentence="towards lower loads the power rises {rise} times as much as a fixed "
        "voltage could give",
        unit="times",
        judge=_loads,
        shows=_loads_shown,
    ),
    Rule(
        name="bridged power",
        description="Two outputs in bridge give twice what one gives at half the load.",
        fields=("ratings",),
        sentence="the bridged power is {ratio} times what two outputs give together",
        unit="times",
        judge=_bridge,
        shows=_bridge_shown,
    ),
    Rule(
        name="class AB efficiency",
        description="A class-B stage reaches pi/4 at the very most, at full power.",
        fields=("efficiency_share",),
        sentence="{efficiency} for class AB; its limit is 78.5 %",
        unit="",
        judge=_efficiency,
        shows=_efficiency_shown,
    ),
)
