"""How long do the papers of a job take? Run with ``python -m benchmarks.papers``.

Each row is a fresh process, so that the first run, with every import and the start of
the typesetter, is timed as a person meets it.
"""

from __future__ import annotations

import statistics
import subprocess
import sys

_SET_UP = """
import sys, time, tempfile
from pathlib import Path
start = time.perf_counter()
from tests.papers.conftest import made
from tests.papers.samples import SAMPLES, prediction
sample = SAMPLES["vented"]()
"""

_PAPERS = """
from basswright.papers import write
folder = Path(tempfile.mkdtemp())
write(made(sample), folder, formats={formats!r})
first = time.perf_counter() - start
start = time.perf_counter()
write(made(sample), folder, formats={formats!r})
print(first, time.perf_counter() - start)
"""

_PRINT_CHART = """
from basswright.papers.prints import chart_figures
from basswright.papers.settings import tuning_facts
facts = tuning_facts(sample.job, sample.option, None)
start = time.perf_counter()
chart_figures(sample.prediction, sample.job, facts)
first = time.perf_counter() - start
start = time.perf_counter()
chart_figures(sample.prediction, sample.job, facts)
print(first / 3, (time.perf_counter() - start) / 3)
"""

_SCREEN_CHART = """
from basswright.papers import charts
start = time.perf_counter()
charts.svg(charts.response([sample.prediction], ["one"]))
first = time.perf_counter() - start
start = time.perf_counter()
charts.svg(charts.response([sample.prediction], ["one"]))
print(first, time.perf_counter() - start)
"""

_ROWS = (
    ("all five papers, PDF, imports included", _PAPERS.format(formats=("pdf",))),
    ("all five papers, PDF and HTML", _PAPERS.format(formats=("pdf", "html"))),
    ("one chart, own drawing for print", _PRINT_CHART),
    ("one chart, general renderer", _SCREEN_CHART),
)


def main() -> None:
    """Print the first and the second run of each, median of three processes."""
    print(f"{'what':44} {'first, s':>10} {'again, s':>10}")
    for name, code in _ROWS:
        runs = [_timed(_SET_UP + code) for _ in range(3)]
        first, again = (statistics.median(column) for column in zip(*runs, strict=True))
        print(f"{name:44} {first:10.3f} {again:10.4f}")


def _timed(code: str) -> tuple[float, float]:
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    first, again = done.stdout.split()
    return float(first), float(again)


if __name__ == "__main__":
    main()
