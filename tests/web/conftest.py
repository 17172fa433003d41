"""A store with a small demo range, the app over it, and a client that behaves like a browser."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
import uvicorn
from fastapi import FastAPI
from sqlalchemy import Engine

from basswright import database, jobs
from basswright.catalogue import demo
from basswright.catalogue.store import Catalogue
from basswright.jobs.store import JobStore
from basswright.web import app

ROOT = Path(__file__).parents[2]
BUILT = ROOT / "src" / "basswright" / "web" / "static" / "vendor" / "built.json"


@pytest.fixture(scope="session", autouse=True)
def frontend() -> None:
    """Bundle scripts and styles if that was not done, or not since they were changed."""
    sys.path.insert(0, str(ROOT / "scripts"))
    from bundle_frontend import source_stamp

    sys.path.pop(0)
    if BUILT.exists() and json.loads(BUILT.read_text())["sources"] == source_stamp():
        return
    subprocess.run(["sh", ROOT / "scripts" / "build_frontend.sh", sys.executable], check=True)


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """A store with a small demo range and the sample job; not to be changed."""
    engine = new_store(tmp_path_factory.mktemp("store") / "shop.sqlite")
    yield engine
    engine.dispose()


@pytest.fixture(scope="session")
def shared(served: Server) -> Iterator[httpx.Client]:
    """A client of an app that the tests only read from."""
    with httpx.Client(base_url=served.address, follow_redirects=True, timeout=120) as client:
        yield client


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    """A store of its own for a test that changes things."""
    made = new_store(tmp_path / "shop.sqlite")
    yield made
    made.dispose()


@pytest.fixture
def client(engine: Engine) -> Iterator[httpx.Client]:
    """A client of an app of its own."""
    with client_of(app(engine, warm=False)) as made:
        yield made


def new_store(path: Path) -> Engine:
    """Return a store with a small demo range and the sample job."""
    engine = database.connect(f"sqlite:///{path}")
    Catalogue(engine).replace(demo.make(enclosures=240, amplifiers=80).snapshot)
    JobStore(engine).save(jobs.parse_job(jobs.sample_text()))
    return engine


@contextmanager
def client_of(made: FastAPI) -> Iterator[httpx.Client]:
    """Serve an app and give a client that sends what a browser on this machine sends."""
    with (
        Server(made) as server,
        httpx.Client(
            base_url=server.address,
            headers={"Origin": server.address, "Sec-Fetch-Site": "same-origin"},
            follow_redirects=True,
            timeout=120,
        ) as client,
    ):
        yield client


def free_port() -> int:
    """Return a port on which nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Server:
    """The app, served in a thread on this machine."""

    def __init__(self, made: FastAPI) -> None:
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        config = uvicorn.Config(made, host="127.0.0.1", port=self.port, log_level="error")
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)

    def __enter__(self) -> Server:
        self._thread.start()
        deadline = time.monotonic() + 20
        while not self._server.started:
            assert time.monotonic() < deadline
            time.sleep(0.02)
        return self

    def __exit__(self, *_: object) -> None:
        self._server.should_exit = True
        self._thread.join(timeout=20)


@pytest.fixture(scope="session")
def served(filled: Engine) -> Iterator[Server]:
    """The app over the store that is only read from, for real browsers."""
    with Server(app(filled, warm=False)) as server:
        httpx.get(f"{server.address}/worked", timeout=600).raise_for_status()
        yield server
