"""Run the sample job end to end: demo range, options with reasons, papers into ``out/``."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from rich.console import Console

OUT = Path("out")


def main() -> int:
    """Run every stage of the sample job and tell how long each took."""
    from basswright.cli.main import use_one_thread_for_small_matrices

    use_one_thread_for_small_matrices()
    from basswright import database, jobs, stages
    from basswright.catalogue import demo
    from basswright.catalogue.store import Catalogue
    from basswright.cli import show

    console, started = Console(highlight=False), time.perf_counter()

    def step(what: str) -> None:
        console.print(f"[dim]{time.perf_counter() - started:5.1f} s  {what}[/dim]")

    OUT.mkdir(exist_ok=True)
    job_file = OUT / "sample-job.toml"
    job_file.write_text(jobs.sample_text("hatchback"), encoding="utf-8")
    job = jobs.read_job(job_file)
    step(f"read {job_file}: {job.title}")
    catalogue = Catalogue(database.connect(f"sqlite:///{OUT / 'demo.sqlite'}"))
    if not any(catalogue.counts().values()):
        catalogue.replace(demo.make().snapshot)
        step("filled the store with the invented demo range")
    prepared = stages.prepare(catalogue.snapshot())
    step("read the catalogue and modelled its boxes")
    weighed = stages.weigh(job, prepared)
    found = stages.options_of(weighed)
    step("weighed every system")
    show.options(console, found)
    chosen = found.options[0]
    system = stages.system_of(weighed, chosen)
    step("computed option 1 in depth")
    written = stages.papers_of(system, OUT / "papers")
    step(f"wrote the papers of option 1 ({show.name_of(chosen)}):")
    for path in written:
        console.print(f"         {path}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
