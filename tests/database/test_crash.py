"""Killed at any moment: what was confirmed is there, and nothing is there by halves."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import basswright
from basswright.catalogue.demo import make
from basswright.catalogue.sheets import write_csv
from basswright.catalogue.store import Catalogue
from basswright.database import connect
from basswright.database.engine import reading
from basswright.jobs.store import JobStore
from tests.jobs.stored import sample_job

ROOT = Path(__file__).parents[2]

SAVE_JOBS = """
import sys
from basswright.database import connect
from basswright.jobs.store import JobStore
from tests.jobs.stored import sample_job
store = JobStore(connect(sys.argv[1]))
revision = store.get("green-hatch").revision
while True:
    revision = store.save(sample_job(budget=float(revision + 1)), revision).revision
    print(revision, flush=True)
"""
IMPORT_SHEET = """
import sys
from basswright.catalogue.store import Catalogue
from basswright.database import connect
catalogue = Catalogue(connect(sys.argv[1]))
def tell(done, expected):
    print(done, flush=True)
catalogue.import_sheet(sys.argv[2], kind="enclosures", progress=tell)
print("confirmed", flush=True)
"""


def _start(script: str, *arguments: str) -> subprocess.Popen[str]:
    source = Path(basswright.__file__).parents[1]
    return subprocess.Popen(
        [sys.executable, "-c", script, *arguments],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": f"{source}{os.pathsep}{ROOT}"},
    )


def _kill(process: subprocess.Popen[str]) -> list[str]:
    """Kill without warning; return the lines that came before."""
    process.send_signal(signal.SIGKILL)
    out, _ = process.communicate()
    assert process.returncode in (-signal.SIGKILL, 0)
    return out.split()


def _is_whole(url: str) -> bool:
    engine = connect(url)
    if engine.dialect.name != "sqlite":
        engine.dispose()
        return True
    with reading(engine) as connection:
        answer = connection.exec_driver_sql("PRAGMA integrity_check").scalar()
    engine.dispose()
    return answer == "ok"


def test_every_confirmed_save_outlives_the_process(database_url: str) -> None:
    engine = connect(database_url)
    JobStore(engine).save(sample_job())
    engine.dispose()
    for pause in (0.0, 0.02):
        process = _start(SAVE_JOBS, database_url)
        assert process.stdout is not None
        first = process.stdout.readline()
        time.sleep(pause)
        confirmed = int((first.split() + _kill(process))[-1])
        assert _is_whole(database_url)
        engine = connect(database_url)
        store = JobStore(engine)
        kept = store.get("green-hatch")
        assert confirmed <= kept.revision <= confirmed + 1
        assert kept.job.wish.budget == float(kept.revision)
        revisions = [entry.revision for entry in store.history("green-hatch")]
        assert revisions == list(range(1, kept.revision + 1))
        engine.dispose()


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sheets") / "sheet.csv"
    write_csv(path, "enclosures", make(2, enclosures=3000, amplifiers=1).snapshot.enclosures)
    return path


@pytest.mark.parametrize("pause", [0.0, 0.08])
def test_a_sheet_is_taken_in_whole_or_not_at_all(
    database_url: str, sheet: Path, pause: float
) -> None:
    connect(database_url).dispose()
    process = _start(IMPORT_SHEET, database_url, str(sheet))
    assert process.stdout is not None
    while process.stdout.readline().strip() not in ("3001", ""):
        pass
    time.sleep(pause)
    lines = _kill(process) if process.poll() is None else process.communicate()[0].split()
    assert _is_whole(database_url)
    engine = connect(database_url)
    count = Catalogue(engine).counts()["enclosures"]
    assert count in (0, 3000)
    if "confirmed" in lines:
        assert count == 3000
    assert len(Catalogue(engine).past_imports()) == (1 if count else 0)
    engine.dispose()
