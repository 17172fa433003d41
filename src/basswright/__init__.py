"""Choose a ready-made bass enclosure and its amplifier for a particular car.

The functions that a person's stages use, for programmers::

    import basswright

    job = basswright.read_job("job.toml")
    catalogue = basswright.demo_range()
    found = basswright.options(job, catalogue)
    print(found.options[0].reasons)

Everything inside is SI; see the documentation for each package.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

#: Public name -> the module that it is taken from when first asked for.
_HOME = {
    "demo_range": "basswright.catalogue.demo",
    "read_job": "basswright.jobs",
    "parse_job": "basswright.jobs",
    "write_job": "basswright.jobs",
    "options": "basswright.stages",
    "system": "basswright.stages",
    "papers": "basswright.stages",
    "why": "basswright.stages",
}
__all__ = ["__version__", *_HOME]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'basswright' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
