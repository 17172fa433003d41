"""Change single readings of a job, as a form or a slider does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from basswright.errors import InputError, NotFoundError, QuantityError
from basswright.jobs.estimates import BY_PATH
from basswright.jobs.keys import Key, key_path_of
from basswright.jobs.reading import job_from_table, raw_table
from basswright.jobs.samples import sample_names, sample_text, space_tables
from basswright.jobs.shapes import Quantity
from basswright.jobs.table import find_key
from basswright.jobs.writing import write_job
from basswright.quantities import number
from basswright.records.base import Origin
from basswright.records.car import Car
from basswright.records.job import Job

#: What a reading of a template says of itself until it is taken in the car.
NOT_YET_READ = "from a template, not yet read in this car"


def changed(job: Job, changes: Mapping[str, object]) -> Job:
    """Return the job with some values replaced, and its estimates made again.

    Parameters
    ----------
    job : Job
    changes : mapping
        Dotted key of the job file (``"car.load_space.height"``) -> what was written:
        a text with its unit, or whatever a job file takes there. An empty text takes
        the value out, so that it is estimated or falls back to its default.

    Raises
    ------
    InputErrors
        What is wrong with the new values, or with the whole because of them.
    NotFoundError
        A key that a job does not have.
    """
    raw = raw_table(write_job(job))
    new_kind = str(changes.get("car.load_space.kind", job.car.load_space.kind))
    if new_kind != job.car.load_space.kind:
        _change_space(raw, new_kind)
    for path, value in changes.items():
        if find_key(Job, path) is None:
            raise NotFoundError("reading", path)
        _forget_origin(raw, path)
        _put(raw, path, value)
    new = job_from_table(raw)
    return new if new_kind == job.car.load_space.kind else _marked(new, "load_space.")


def with_assumed_unit(text: str, key: Key, unit: str) -> str:
    """Return the text with a unit where a person wrote a bare number into a field.

    The field shows that unit beside it, so that nothing is guessed unseen.
    """
    if not isinstance(key.shape, Quantity) or not unit or not text.strip():
        return text
    try:
        number(text)
    except QuantityError:
        return text
    return f"{text.strip()} {unit}"


def from_template(name: str, *, job_id: str, title: str, customer: str = "") -> Job:
    """Return a new job that starts from a sample car.

    Every reading that a person has to take is marked as an estimate from the template
    until it is changed; what can be estimated by a rule is.

    Raises
    ------
    NotFoundError
        No sample of that name.
    """
    raw = raw_table(sample_text(name))
    raw |= {"id": job_id, "title": title, "customer": customer}
    car = raw["car"]
    assert isinstance(car, dict)
    car["name"] = f"Car from the template {name}"
    for path in BY_PATH:
        _put(raw, f"car.{key_path_of(Car, path)}", "")
    return _marked(job_from_table(raw), "")


def confirmed(job: Job, path: str) -> Job:
    """Return the job with one figure of a template taken as read in this car."""
    field = _field_in_car(path)
    kept = {place: origin for place, origin in job.car.origins.items() if place != field}
    return _with_origins(job, kept)


def readings_to_take(job: Job) -> tuple[str, ...]:
    """Return the dotted fields, inside the car, that only a tape or a label can tell."""
    paths = []
    for table in ("load_space", "load_space.opening", "cabin", "charging"):
        node: Any = job.car
        for part in table.split("."):
            node = getattr(node, part)
        for field, info in type(node).model_fields.items():
            path = f"{table}.{field}"
            value = getattr(node, field)
            is_figure = isinstance(value, float) and info.is_required()
            if is_figure and path not in BY_PATH:
                paths.append(path)
    return tuple(paths)


def template_names() -> tuple[str, ...]:
    """Return the names that :func:`from_template` takes."""
    return sample_names()


def not_yet_read(job: Job) -> tuple[str, ...]:
    """Return the dotted keys of a job file whose figures still come from a template."""
    return tuple(
        f"car.{key_path_of(type(job.car), path)}"
        for path, origin in job.car.origins.items()
        if origin.note == NOT_YET_READ
    )


def _marked(job: Job, start: str) -> Job:
    marked = {
        path: Origin(kind="estimated", note=NOT_YET_READ)
        for path in readings_to_take(job)
        if path.startswith(start)
    }
    return _with_origins(job, {**job.car.origins, **marked})


def _change_space(raw: dict[str, object], kind: str) -> None:
    car = raw["car"]
    assert isinstance(car, dict)
    car["load_space"] = dict(space_tables().get(kind, {"kind": kind}))
    origins = car.get("origins", {})
    car["origins"] = {k: v for k, v in origins.items() if not k.startswith("load_space.")}


def _with_origins(job: Job, origins: dict[str, Origin]) -> Job:
    car = job.car.model_copy(update={"origins": origins})
    return job.model_copy(update={"car": car})


def _field_in_car(path: str) -> str:
    found = find_key(Job, path)
    if found is None or not path.startswith("car."):
        raise NotFoundError("reading", path)
    return found[0].removeprefix("car.")


def _forget_origin(raw: dict[str, object], path: str) -> None:
    car = raw.get("car")
    origins = car.get("origins") if isinstance(car, dict) else None
    if isinstance(origins, dict):
        origins.pop(path.removeprefix("car."), None)


def _put(raw: dict[str, object], path: str, value: object) -> None:
    *parents, name = path.split(".")
    node: dict[str, Any] = raw
    for parent in parents:
        node = node.setdefault(parent, {})
        if not isinstance(node, dict):
            raise InputError("not a table", field=path)
    if isinstance(value, str) and not value.strip():
        node.pop(name, None)
    else:
        node[name] = value
