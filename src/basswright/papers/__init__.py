"""What is handed over?

Quote, fitting sheet, tuning sheet, customer sheet and acceptance record of a job, as PDF
and HTML, with their figures as SVG.
"""

from basswright.papers.collecting import Extras, Issue, context
from basswright.papers.facts import (
    Alternative,
    Measured,
    PapersContext,
    TuningFacts,
)
from basswright.papers.proved import measured
from basswright.papers.writers import papers, write

__all__ = [
    "Alternative",
    "Extras",
    "Issue",
    "Measured",
    "PapersContext",
    "TuningFacts",
    "context",
    "measured",
    "papers",
    "write",
]
