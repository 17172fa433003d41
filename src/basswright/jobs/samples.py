"""The sample jobs that come with the program, one for each common body."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from basswright.errors import NotFoundError

#: The one that a newcomer sees first; it is commented line by line.
FIRST = "hatchback"


def sample_names() -> tuple[str, ...]:
    """Return the names of the sample jobs, the commented one first."""
    folder = resources.files("basswright.jobs") / "samples"
    others = {entry.name.removesuffix(".toml") for entry in folder.iterdir()}
    names = sorted(name for name in others if not name.startswith(("_", ".")))
    return (FIRST, *names)


def sample_text(name: str = FIRST) -> str:
    """Return the text of a sample job; NotFoundError when there is none of that name."""
    if name not in sample_names():
        raise NotFoundError("sample job", name, sample_names())
    package = resources.files("basswright.jobs")
    file = package / "sample.toml" if name == FIRST else package / "samples" / f"{name}.toml"
    return file.read_text(encoding="utf-8")


@cache
def space_tables() -> dict[str, dict[str, Any]]:
    """Return for each kind of load space the readings that a new car starts from."""
    file = resources.files("basswright.jobs") / "spaces.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))
