"""A store with the demo range, a sample job, and the command run in process."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from basswright import jobs
from basswright.cli import main


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture(scope="session")
def store(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Address of a store that holds the demo range."""
    from basswright import database
    from basswright.catalogue import demo
    from basswright.catalogue.store import Catalogue

    address = f"sqlite:///{tmp_path_factory.mktemp('store') / 'shop.sqlite'}"
    Catalogue(database.connect(address)).replace(demo.make().snapshot)
    return address


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A sample job file."""
    path = tmp_path / "job.toml"
    path.write_text(jobs.sample_text("hatchback"), encoding="utf-8")
    return path


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command line with arguments; returns code and output."""

    def call(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["basswright", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            main()
        out, err = capsys.readouterr()
        code = left.value.code
        return Ran(code if isinstance(code, int) else 0, out, err)

    return call
