"""One function for each thing that a person does: explicit steps, a frozen result."""

from __future__ import annotations

from basswright.stages.compare import compare
from basswright.stages.options import options
from basswright.stages.papers import papers
from basswright.stages.system import System, system
from basswright.stages.weigh import Prepared, Weighed, prepare, weigh
from basswright.stages.why import Why, why

__all__ = [
    "Prepared",
    "System",
    "Weighed",
    "Why",
    "compare",
    "options",
    "papers",
    "prepare",
    "system",
    "weigh",
    "why",
]
