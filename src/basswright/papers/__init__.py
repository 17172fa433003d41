"""What is handed over?

Quote, fitting sheet, tuning sheet, customer sheet and acceptance record of a job, as PDF
and HTML, with their figures as SVG.
"""

from basswright.papers.collecting import Extras, context, plain_tuning
from basswright.papers.facts import (
    Alternative,
    EqualiserBand,
    Measured,
    PapersContext,
    TuningSettings,
)
from basswright.papers.writers import papers, write

__all__ = [
    "Alternative",
    "EqualiserBand",
    "Extras",
    "Measured",
    "PapersContext",
    "TuningSettings",
    "context",
    "papers",
    "plain_tuning",
    "write",
]
