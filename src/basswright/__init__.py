"""Choose a ready-made bass enclosure and its amplifier for a particular car.

The functions that a person's stages use, for programmers::

    import basswright

    job = basswright.read_job("job.toml")
    catalogue = basswright.demo_range().snapshot
    found = basswright.options(job, catalogue)
    print(found.options[0].reasons)

Everything inside is SI; see the documentation for each package.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

#: Public name -> module and name there, imported when first asked for.
_HOME = {
    "demo_range": ("basswright.catalogue.demo", "make"),
    "read_job": ("basswright.jobs", "read_job"),
    "parse_job": ("basswright.jobs", "parse_job"),
    "write_job": ("basswright.jobs", "write_job"),
    "sample_text": ("basswright.jobs", "sample_text"),
    "options": ("basswright.stages", "options"),
    "prepare": ("basswright.stages", "prepare"),
    "system": ("basswright.stages", "system"),
    "papers": ("basswright.stages", "papers"),
    "tradeoffs": ("basswright.stages", "tradeoffs"),
    "why": ("basswright.stages", "why"),
}
__all__ = ["__version__", *_HOME]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'basswright' has no attribute {name!r}")
    module, attribute = _HOME[name]
    return getattr(import_module(module), attribute)


def __dir__() -> list[str]:
    return sorted(__all__)
