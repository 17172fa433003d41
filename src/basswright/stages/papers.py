"""The stage Papers: what is handed over for one option."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from basswright import papers as paper
from basswright import tuning
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.stages.system import System, system
from basswright.stages.weigh import OnStep, Prepared, no_step


def papers(
    job: Job,
    catalogue: Snapshot | Prepared,
    option: str,
    folder: Path,
    *,
    on_step: OnStep = no_step,
) -> tuple[Path, ...]:
    """Write the papers of one option into a folder and return their paths.

    Raises
    ------
    NotFoundError
        No such option for this job.
    """
    chosen = system(job, catalogue, option, on_step=on_step)
    return of_system(chosen, folder, on_step=on_step)


def of_system(
    chosen: System, folder: Path, *, today: date | None = None, on_step: OnStep = no_step
) -> tuple[Path, ...]:
    """Write the papers of a system that was computed already."""
    on_step("writing the papers")
    prediction = chosen.prediction
    settings = tuning.settings(
        prediction.frequency_hz,
        prediction.level_db,
        headroom_db=prediction.loudest_db - prediction.level_db,
        request=tuning.request_for(chosen.job, chosen.option),
    )
    context = paper.context(
        chosen.job,
        chosen.option,
        prediction,
        chosen.drawings,
        today=today or date.today(),
        tuning=settings,
    )
    return paper.write(context, folder)
