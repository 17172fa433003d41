"""Read a job: from a file, from its text, or from tables that a form has changed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from basswright.errors import InputError, InputErrors, TooLargeError
from basswright.jobs.estimates import BY_PATH, fill
from basswright.jobs.keys import key_of, key_path_of, variant_of
from basswright.jobs.shapes import Table
from basswright.jobs.table import Reading, build, read_table
from basswright.records.base import Origin
from basswright.records.car import Car
from basswright.records.job import Job

#: A job file holds a few kilobytes; beyond this it is something else.
LARGEST_BYTES: Final = 1_000_000

_ESTIMATED: Final = {f"car.{path}" for path in BY_PATH}


def read_job(path: Path | str) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : path
        A TOML file in UTF-8 of at most :data:`LARGEST_BYTES`.

    Returns
    -------
    Job
        With what was not read estimated, and `car.origins` telling which figures.

    Raises
    ------
    InputErrors
        Everything that is wrong with it, each with its dotted key.
    TooLargeError
        Before anything is read.
    InputError
        It cannot be read at all.
    """
    file = Path(path)
    try:
        size = file.stat().st_size
        if size > LARGEST_BYTES:
            raise TooLargeError(
                f"{file.name}: {size} bytes; a job file has at most {LARGEST_BYTES}"
            )
        with file.open("rb") as stream:
            content = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror or error}", item=file.name or str(path)
        ) from None
    return parse_job(decoded(content, file.name), item=file.name)


def decoded(content: bytes, item: str = "job") -> str:
    """Return the text of a job file's bytes, or say where it stops being UTF-8."""
    if len(content) > LARGEST_BYTES:
        raise TooLargeError(f"{item}: more than {LARGEST_BYTES} bytes")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"not UTF-8 text: byte 0x{content[error.start]:02x} in line {line}",
            item=item,
            allowed="a TOML file saved as UTF-8",
        ) from None


def parse_job(text: str, *, item: str = "job") -> Job:
    """Read the text of a job file; `item` names it in errors. Raises as `read_job`."""
    return job_from_table(raw_table(text, item=item), item=item)


def raw_table(text: str, *, item: str = "job") -> dict[str, object]:
    """Return the tables of a TOML text, unread, or say what breaks TOML."""
    if len(text) > LARGEST_BYTES:
        raise TooLargeError(f"{item}: more than {LARGEST_BYTES} characters")
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        problem = "tables too deep" if isinstance(error, RecursionError) else str(error)
        raise InputError(
            f"not TOML: {problem[:1].lower()}{problem[1:]}",
            item=item,
            allowed='lines such as width = "640 mm"',
        ) from None


def job_from_table(raw: Mapping[str, object], *, item: str = "job") -> Job:
    """Read a job from its tables, estimate what is missing, check the whole."""
    reading = read_table(Job, _with_kind_of_space(raw), _ESTIMATED)
    job = _finished(reading)
    if reading.problems:
        raise InputErrors(reading.problems, item=item)
    assert job is not None
    return job


def _finished(reading: Reading) -> Job | None:
    car = reading.tree.setdefault("car", {})
    found: Mapping[str, Origin] = {}
    if isinstance(car, dict):
        missing = {path.removeprefix("car.") for path in reading.missing}
        found = fill(car, missing)
        car["origins"] = {**car.get("origins", {}), **found}
    job, refused = build(Job, reading.tree)
    known = {problem.field for problem in reading.problems}
    new = [p for p in refused if p.field not in known and not p.problem.startswith("is missing")]
    taken = [problem for problem in new if not _rests_on_others(problem, found)]
    new = taken if taken or known else new
    if not reading.problems and refused and not new:
        new = refused
    reading.problems.extend(new)
    if job is not None:
        reading.problems.extend(_contradictions(job))
    return job


def _rests_on_others(problem: InputError, estimates: Mapping[str, Origin]) -> bool:
    """Tell whether a figure was estimated from readings that are refused themselves."""
    keys = {f"car.{key_path_of(Car, path)}" for path in estimates}
    return problem.field in keys


def _contradictions(job: Job) -> list[InputError]:
    """Return readings that cannot both be right."""
    charging = job.car.charging
    if charging.alternator_idle_a <= charging.alternator_rated_a:
        return []
    return [
        InputError(
            "more at idle than the alternator's rated output",
            field="car.charging.alternator_idle",
            value=f"{charging.alternator_idle_a:g} A",
            allowed=f"at most {charging.alternator_rated_a:g} A",
        )
    ]


def _with_kind_of_space(raw: Mapping[str, object]) -> Mapping[str, object]:
    """Take the kind of load space from the body where it is not told."""
    car = raw.get("car")
    space = car.get("load_space") if isinstance(car, Mapping) else None
    if not isinstance(car, Mapping) or not isinstance(space, Mapping) or "kind" in space:
        return raw
    body = car.get("body")
    if not isinstance(body, str) or not space_takes(body.strip().lower()):
        return raw
    return {**raw, "car": {**car, "load_space": {"kind": body, **space}}}


def space_takes(word: str) -> bool:
    """Say whether a word names a kind of load space."""
    key = key_of(Car, "load_space")
    if key is None or not isinstance(key.shape, Table):
        return False
    if key.shape.tag_field:
        return variant_of(key.shape, word) is not None
    own = key_of(key.shape.variants[""], "kind")
    return own is not None and word in own.shape.wanted.split(", ")
