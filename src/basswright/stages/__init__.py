"""One function for each thing that a person does: explicit steps, a frozen result."""

from __future__ import annotations

from basswright.stages.compare import compare
from basswright.stages.feeding import under_music
from basswright.stages.options import of_weighed as options_of
from basswright.stages.options import options
from basswright.stages.papers import of_system as papers_of
from basswright.stages.papers import papers
from basswright.stages.system import System, system
from basswright.stages.system import of_weighed as system_of
from basswright.stages.tradeoffs import of_weighed as tradeoffs_of
from basswright.stages.tradeoffs import tradeoffs
from basswright.stages.weigh import Prepared, Weighed, prepare, weigh
from basswright.stages.why import Why, why

__all__ = [
    "Prepared",
    "System",
    "Weighed",
    "Why",
    "compare",
    "options",
    "options_of",
    "papers",
    "papers_of",
    "prepare",
    "system",
    "system_of",
    "tradeoffs",
    "tradeoffs_of",
    "under_music",
    "weigh",
    "why",
]
