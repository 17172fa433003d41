"""Reads the printed tables that come with the package."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files


@lru_cache(maxsize=8)
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a table in the package's ``data`` folder, comments left out.

    Parameters
    ----------
    name : str
        File name without its ending.

    Returns
    -------
    tuple of dict
        Column to text; the file's comments name units and source.
    """
    text = (files("basswright.supply") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))
