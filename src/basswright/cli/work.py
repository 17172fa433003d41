"""What every command needs: the job, the catalogue, a line of progress, JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from basswright.records.job import Job
    from basswright.records.snapshot import Snapshot


class AsData(Protocol):
    """A result that can be told as plain JSON data."""

    def model_dump(self, *, mode: str) -> dict[str, Any]:
        """Return plain data."""


def read_job(path: Path) -> Job:
    """Read a job file."""
    from basswright import jobs

    return jobs.read_job(path)


def open_catalogue(store: str | None) -> Snapshot:
    """Return what the store holds, or raise when it holds nothing yet."""
    from basswright import database
    from basswright.catalogue.store import Catalogue
    from basswright.errors import EmptyStoreError

    snapshot = Catalogue(database.connect(store)).snapshot()
    if not snapshot.enclosures:
        raise EmptyStoreError
    return snapshot


def workshop_folder(store: str | None) -> Path:
    """Return the folder that holds the workshop's own settings: that of its database."""
    from basswright.database.engine import settings_folder

    return settings_folder(store)


def workshop_logo(given: Path | None, store: str | None) -> str:
    """Return the logo of a file, or the workshop's own; empty where there is neither."""
    from basswright.jobs.own import own_logo
    from basswright.papers.logo import read_logo

    return read_logo(given) if given is not None else own_logo(workshop_folder(store))


@contextmanager
def steps(*, quiet: bool) -> Iterator[Callable[[str], None]]:
    """Show which step is under way, on standard error, while the block runs."""
    if quiet or not sys.stderr.isatty():
        yield lambda _step: None
        return
    from rich.console import Console

    with Console(stderr=True).status("starting") as status:
        yield status.update


def write_json(result: AsData) -> None:
    """Print a result as JSON on standard output."""
    write_data(result.model_dump(mode="json"))


def write_data(data: object) -> None:
    """Print plain data as JSON on standard output."""
    sys.stdout.write(json.dumps(data, ensure_ascii=False, indent=2) + "\n")
