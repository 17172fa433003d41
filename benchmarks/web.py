"""How fast are pages and sliders, and does the server bear 50 tablets?

Serves the demo range, grown to 20,000 boxes, from a process of its own; times are from
the first byte sent to the last byte received, as a browser on this machine sees them.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import httpx
import psutil

BOXES, AMPLIFIERS = 20_000, 440
TABLETS, ROUNDS = 50, 6
SLIDES = 60
CLICKS = 3000
JOB = "/jobs/demo-hatchback"


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


PORT = _free_port()

_SERVER = """
import sys, uvicorn
from basswright import database
from basswright.web import app
uvicorn.run(app(database.connect(sys.argv[1])), port=int(sys.argv[2]), log_level="error")
"""


def main() -> None:
    """Print a table of times and memory."""
    with tempfile.TemporaryDirectory() as folder:
        store = f"sqlite:///{Path(folder) / 'shop.sqlite'}"
        _fill(store)
        started = time.perf_counter()
        server = subprocess.Popen(
            [sys.executable, "-c", _SERVER, store, str(PORT)], env={**os.environ}
        )
        try:
            with httpx.Client(
                base_url=f"http://127.0.0.1:{PORT}", timeout=600, follow_redirects=True
            ) as client:
                _wait(client)
                spent, process = time.perf_counter() - started, psutil.Process(server.pid)
                print(f"{'server start to first answer':42s} {spent:8.2f} s")
                print(f"{'  processor time of that':42s} {_cpu(process):8.2f} s")
                _measure(client, process)
        finally:
            server.terminate()
            server.wait()


def _fill(store: str) -> None:
    from basswright import database, jobs
    from basswright.catalogue import demo
    from basswright.catalogue.store import Catalogue
    from basswright.jobs.store import JobStore

    engine = database.connect(store)
    Catalogue(engine).replace(demo.make(enclosures=BOXES, amplifiers=AMPLIFIERS).snapshot)
    JobStore(engine).save(jobs.parse_job(jobs.sample_text()))
    engine.dispose()


def _wait(client: httpx.Client) -> None:
    while True:
        try:
            client.get("/").raise_for_status()
        except httpx.ConnectError:
            time.sleep(0.02)
        else:
            return


def _measure(client: httpx.Client, process: psutil.Process) -> None:
    spent = _timed(lambda: client.get(f"{JOB}/options/list"))
    print(f"{'first list, everything prepared anew':42s} {spent:8.2f} s")
    for name, path in (("jobs", "/"), ("car", f"{JOB}/car"), ("options", f"{JOB}/options")):
        times = [1000 * _timed(lambda path=path: client.get(path)) for _ in range(15)]
        print(f"{f'page, warm: {name}':42s} {statistics.median(times):8.0f} ms")
    _slides(client)
    before = _rss(process)
    _tablets()
    print(f"{'memory before and after the tablets':42s} {before:8.0f} MB, {_rss(process):.0f} MB")
    _hour(client, process)


def _hour(client: httpx.Client, process: psutil.Process) -> None:
    """Move, look and go back as somebody does in an hour, without the pauses."""
    options = client.get(f"/api{JOB}/options").json()["options"]
    told, failures = [f"{_rss(process):.0f}"], 0
    for turn in range(CLICKS):
        option = options[turn // 20 % len(options)]["id"]
        path = (
            f"{JOB}/options/list?wish.budget={700 + turn % 97 * 20}",
            f"{JOB}/options/list?wish.luggage_keep={turn % 61 * 5}",
            f"{JOB}/options/rest?wish.budget={700 + turn % 97 * 20}",
            f"{JOB}/options/list?wish.weights.price={turn % 21 * 0.5}",
            f"{JOB}/car",
            f"{JOB}/wish",
            f"{JOB}/options",
            f"{JOB}/keep.glb?keep={turn % 41 * 0.01}",
            f"{JOB}/system/{option}",
            f"{JOB}/charts/response?option={option}",
        )[turn % 10]
        failures += client.get(path).status_code != 200
        if (turn + 1) % (CLICKS // 6) == 0:
            told.append(f"{_rss(process):.0f}")
    print(f"{f'{CLICKS} clicks of an hour, failures':42s} {failures:8d}")
    print(f"{'  memory in six steps, MB':42s} {', '.join(told)}")


def _cpu(process: psutil.Process) -> float:
    times = process.cpu_times()
    return float(times.user + times.system)


def _rss(process: psutil.Process) -> float:
    return float(process.memory_info().rss) / 1e6


def _slides(client: httpx.Client) -> None:
    for name, first, step in (
        ("wish.level", 105.0, 0.1),
        ("wish.budget", 700.0, 7.0),
        ("wish.luggage_keep", 100.0, 3.0),
    ):
        times = []
        for i in range(SLIDES):
            params = {name: f"{first + i * step:.1f}"}
            times.append(
                1000
                * _timed(lambda params=params: client.get(f"{JOB}/options/list", params=params))
            )
        p95 = statistics.quantiles(times, n=20)[-1]
        median = statistics.median(times)
        print(f"{f'slider {name}: median, 95 %':42s} {median:8.0f} ms, {p95:.0f} ms")


def _tablets() -> None:
    failures: list[str] = []
    times: list[float] = []

    def tablet(number: int) -> None:
        with httpx.Client(base_url=f"http://127.0.0.1:{PORT}", timeout=300) as client:
            for turn in range(ROUNDS):
                level = 104 + (number * ROUNDS + turn) % 23 * 0.5
                for path in ("/", f"{JOB}/car", f"{JOB}/options/list?wish.level={level}"):
                    begun = time.perf_counter()
                    answer = client.get(path)
                    times.append(time.perf_counter() - begun)
                    if answer.status_code != 200:
                        failures.append(f"{path}: {answer.status_code}")

    threads = [threading.Thread(target=tablet, args=(number,)) for number in range(TABLETS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    told = f"{len(times)} requests of {TABLETS} tablets at once"
    print(f"{told:42s} {len(failures):8d} failures, median {statistics.median(times):.2f} s")


def _timed(call: Callable[[], httpx.Response]) -> float:
    begun = time.perf_counter()
    call().raise_for_status()
    return time.perf_counter() - begun


if __name__ == "__main__":
    main()
