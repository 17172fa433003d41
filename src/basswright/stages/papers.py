"""The stage Papers: what is handed over for one option."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from basswright import papers as paper
from basswright import tuning
from basswright.papers.language import language
from basswright.records.job import Job
from basswright.records.snapshot import Snapshot
from basswright.stages.alternatives import alternatives_of
from basswright.stages.system import System, find, of_weighed
from basswright.stages.weigh import OnStep, Prepared, no_step, weigh


def papers(
    job: Job,
    catalogue: Snapshot | Prepared,
    option: str,
    folder: Path,
    *,
    issue: paper.Issue | None = None,
    on_step: OnStep = no_step,
) -> tuple[Path, ...]:
    """Write the papers of one option into a folder and return their paths.

    Parameters
    ----------
    job : Job
    catalogue : Snapshot or Prepared
    option : str
        Its place in the list ("1") or its id.
    folder : Path
    issue : Issue or None
        Day, revision, formats, logo, measured results. Where it names no other systems,
        those that come next or are best in something are put on the quote.
    on_step : callable
        Told in a few words what comes next.

    Raises
    ------
    NotFoundError
        No such option for this job.
    InputError
        The papers are not written in the workshop's language.
    """
    language(job.workshop.language)
    issue = issue or paper.Issue(day=date.today())
    weighed = weigh(job, catalogue, on_step=on_step)
    chosen = of_weighed(weighed, find(weighed, option), on_step=on_step)
    if not issue.extras.alternatives:
        others = alternatives_of(weighed, chosen.option)
        extras = issue.extras.model_copy(update={"alternatives": others})
        issue = issue.model_copy(update={"extras": extras})
    return of_system(chosen, folder, issue=issue, on_step=on_step)


def of_system(
    chosen: System, folder: Path, *, issue: paper.Issue, on_step: OnStep = no_step
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
        today=issue.day,
        revision=issue.revision,
        tuning=settings,
        extras=issue.extras,
    )
    return paper.write(context, folder, formats=issue.formats)
