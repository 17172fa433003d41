"""Save one changed reading so that nobody's work is lost.

Two people may edit one job. A change is applied to the job as it is now; only when the
very reading that somebody changed was changed by another in the meantime is the later
one told, and nothing is saved until they choose.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from basswright.errors import BasswrightError, ConflictError, InputError, InputErrors
from basswright.jobs.editing import changed, with_assumed_unit
from basswright.jobs.store import StoredJob
from basswright.jobs.table import find_key
from basswright.records.job import Job
from basswright.web import words
from basswright.web.desk import Desk
from basswright.web.forms import field_at, is_field, unit_of

_TRIES: Final = 6


@dataclass(frozen=True, kw_only=True)
class Saved:
    """A job before and after a change."""

    before: Job
    after: StoredJob


class ChangedMeanwhileError(ConflictError):
    """Somebody else changed the same reading; `theirs` is what it says now."""

    def __init__(self, label: str, theirs: str) -> None:
        self.theirs = theirs
        super().__init__(f"{label} was changed by somebody else meanwhile, to {theirs}")


def save_reading(desk: Desk, job_id: str, path: str, value: object, *, was: str | None) -> Saved:
    """Save one reading.

    Parameters
    ----------
    desk : Desk
    job_id : str
    path : str
        Dotted key of the job file.
    value : object
        What was written; a bare number takes the unit that the field shows.
    was : str or None
        What the field showed before; None overwrites whatever is there.

    Raises
    ------
    InputErrors, NotFoundError
        As :func:`basswright.jobs.editing.changed`.
    ChangedMeanwhileError
        The field shows something else by now.
    """
    if not is_field(path):
        raise InputError("there is no such reading", field=path[:80])

    def edit(job: Job) -> Job:
        shown = field_at(job, path)
        if was is not None and was != shown.text:
            raise ChangedMeanwhileError(shown.label, shown.text)
        return changed(job, {path: completed(job, path, value)})

    return save_edit(desk, job_id, edit, note=path)


def save_edit(desk: Desk, job_id: str, edit: Callable[[Job], Job], *, note: str) -> Saved:
    """Apply an edit to a job as it is now, again if somebody else saved in between."""
    for _ in range(_TRIES):
        stored = desk.jobs.get(job_id)
        new = edit(stored.job)
        if new == stored.job:
            return Saved(before=stored.job, after=stored)
        try:
            after = desk.jobs.save(new, stored.revision, note=note)
        except ConflictError:
            continue
        return Saved(before=stored.job, after=after)
    raise ConflictError("the job is being changed by others all the time; try again")


def completed(job: Job, path: str, value: object) -> object:
    """Return the value with the unit that the field shows, where a bare number was written."""
    found = find_key(Job, path)
    if found is None or not isinstance(value, str):
        return value
    field = field_at(job, path)
    key = found[1]
    unit = field.unit or unit_of(job, key, None)
    return with_assumed_unit(value, key, unit)


def sentence(error: BasswrightError, path: str) -> str:
    """Return what is wrong with a reading, as it stands beside its field."""
    if not isinstance(error, InputError | InputErrors):
        return str(error)
    problems = error.errors if isinstance(error, InputErrors) else (error,)
    own = [problem for problem in problems if problem.field in ("", path)]
    texts = []
    for each in (own or list(problems))[:2]:
        place = "" if each.field in ("", path) else f"{words.label(each.field)}: "
        allowed = f"; allowed: {each.allowed}" if each.allowed else ""
        texts.append(f"{place}{each.problem}{allowed}")
    text = ". ".join(texts)
    return text[:1].upper() + text[1:]
