"""The same stages for other shop software: JSON in, JSON out, described by OpenAPI."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from basswright import __version__, jobs
from basswright.errors import InputError
from basswright.jobs.editing import changed
from basswright.records.job import Job
from basswright.records.options import Options
from basswright.records.system import Option
from basswright.records.tradeoffs import Tradeoffs
from basswright.web.pages import desk_of
from basswright.web.paper_pages import files_of, zipped

if TYPE_CHECKING:
    from basswright.jobs.store import StoredJob
    from basswright.stages.system import System

router: Final = APIRouter(prefix="/api")

JobId = Annotated[str, Path(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=60)]
OptionId = Annotated[str, Path(min_length=1, max_length=200, description="its number or its id")]


class Problem(BaseModel):
    """What was wrong with a request."""

    error: str
    message: str
    problems: list[dict[str, Any]] = Field(default_factory=list)
    item: str | None = None
    field: str | None = None
    read: str | None = None
    allowed: str | None = None


class JobText(BaseModel):
    """A job as the text of a job file."""

    model_config = ConfigDict(extra="forbid")

    toml: str = Field(max_length=1_000_000, description="the job file; see its reference")
    revision: int | None = Field(
        None, ge=1, description="the revision that was edited; none for a new job"
    )


class Changes(BaseModel):
    """Readings to change, by dotted key of the job file."""

    model_config = ConfigDict(extra="forbid")

    values: dict[str, str] = Field(
        max_length=200, description='such as {"wish.budget": "900", "car.cabin.width": "1.4 m"}'
    )
    revision: int = Field(ge=1, description="the revision that was edited")


class JobLine(BaseModel):
    """One job of the list."""

    id: str
    title: str
    customer: str
    car: str
    revision: int
    archived: bool
    changed_at: str


class StoredText(JobLine):
    """One job with the text of its file."""

    toml: str


class SystemAnswer(BaseModel):
    """One option in depth."""

    option: Option
    prediction: dict[str, Any] = Field(description="curves by name; frequencies in Hz")


class WhyNot(BaseModel):
    """What stands between a box and the list of options."""

    enclosure: str
    passes: bool
    fails: list[str]
    text: str


class About(BaseModel):
    """What answers here."""

    name: Literal["Basswright"] = "Basswright"
    version: str
    catalogue: dict[str, int]


_PROBLEMS: Final[dict[int | str, dict[str, Any]]] = {
    status: {"model": Problem} for status in (404, 409, 413, 422)
}


@router.get("/about")
def about(request: Request) -> About:
    """Tell the version, and how much there is to choose from."""
    return About(version=__version__, catalogue=desk_of(request).catalogue.counts())


@router.get("/jobs")
def job_list(
    request: Request,
    text: Annotated[str, Query(max_length=200)] = "",
    archived: bool | None = None,
) -> list[JobLine]:
    """List the jobs, or those in which every word of `text` occurs."""
    found = desk_of(request).jobs.search(text, archived=archived)
    return [_line(each) for each in found]


@router.post("/jobs", status_code=201, responses=_PROBLEMS)
def save(request: Request, given: JobText) -> JobLine:
    """Save a new job, or a change to one that is known."""
    job = jobs.parse_job(given.toml)
    return _line(desk_of(request).jobs.save(job, given.revision, note="saved by a program"))


@router.get("/jobs/{job_id}", responses=_PROBLEMS)
def job(request: Request, job_id: JobId) -> StoredText:
    """Give one job with the text of its file."""
    stored = desk_of(request).jobs.get(job_id)
    return StoredText(**_line(stored).model_dump(), toml=jobs.write_job(stored.job))


@router.patch("/jobs/{job_id}", responses=_PROBLEMS)
def change(request: Request, job_id: JobId, given: Changes) -> JobLine:
    """Change single readings of a job."""
    desk = desk_of(request)
    new = changed(desk.jobs.get(job_id).job, given.values)
    if new.id != job_id:
        raise InputError("a job keeps its id", field="id", value=new.id, allowed=job_id)
    return _line(desk.jobs.save(new, given.revision, note="changed by a program"))


@router.get("/jobs/{job_id}/options", responses=_PROBLEMS)
def options(request: Request, job_id: JobId) -> Options:
    """Give whole priced systems for a job, best first, and what was left out and why."""
    desk = desk_of(request)
    the_job = desk.jobs.get(job_id).job
    found = desk.options(the_job)
    return found.model_copy(update={"readings": desk.readings(the_job)})


@router.get("/jobs/{job_id}/options/{option_id}", responses=_PROBLEMS)
def system(request: Request, job_id: JobId, option_id: OptionId) -> SystemAnswer:
    """Give one option in depth, with its curves."""
    desk = desk_of(request)
    return _answer(desk.system(desk.jobs.get(job_id).job, option_id))


@router.get("/jobs/{job_id}/options/{option_id}/tradeoffs", responses=_PROBLEMS)
def tradeoffs(request: Request, job_id: JobId, option_id: OptionId) -> Tradeoffs:
    """Tell what room, cone, kind of box, power and load cost and bring."""
    desk = desk_of(request)
    return desk.tradeoffs(desk.jobs.get(job_id).job, option_id)


@router.get(
    "/jobs/{job_id}/options/{option_id}/papers",
    responses={**_PROBLEMS, 200: {"content": {"application/zip": {}}}},
    response_class=Response,
)
def papers(request: Request, job_id: JobId, option_id: OptionId) -> Response:
    """Give every paper and figure of an option as one ZIP file."""
    desk = desk_of(request)
    made = files_of(desk, desk.system(desk.jobs.get(job_id).job, option_id))
    return Response(zipped(made), media_type="application/zip")


@router.post("/options", responses=_PROBLEMS)
def weigh(request: Request, given: JobText) -> Options:
    """Give the options of a job that is not saved."""
    return desk_of(request).options(jobs.parse_job(given.toml))


@router.get("/jobs/{job_id}/why/{enclosure_id}", responses=_PROBLEMS)
def why(
    request: Request,
    job_id: JobId,
    enclosure_id: Annotated[str, Path(min_length=1, max_length=80)],
) -> WhyNot:
    """Tell why a box is not among the options, and what would let it in."""
    from basswright import stages

    desk = desk_of(request)
    found: Job = desk.jobs.get(job_id).job
    told = stages.why(found, desk.prepared(), enclosure_id)
    return WhyNot(
        enclosure=told.enclosure, passes=told.passes, fails=list(told.fails), text=told.text
    )


def _line(stored: StoredJob) -> JobLine:
    return JobLine(
        id=stored.job.id,
        title=stored.job.title,
        customer=stored.job.customer,
        car=stored.job.car.name,
        revision=stored.revision,
        archived=stored.archived,
        changed_at=stored.changed_at,
    )


def _answer(found: System) -> SystemAnswer:
    data = found.model_dump(mode="json")
    return SystemAnswer(option=found.option, prediction=data["prediction"])
