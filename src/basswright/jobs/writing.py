"""Write a job as the text of a job file that reads back as the same job."""

from __future__ import annotations

from collections.abc import Iterator

from basswright.jobs.estimates import BY_PATH
from basswright.jobs.keys import Key, key_path_of, keys_of
from basswright.jobs.shapes import OriginTable, Quantity, Table, quoted
from basswright.jobs.table import find_key
from basswright.records.base import Origin, Record
from basswright.records.car import Car
from basswright.records.job import Job


def write_job(job: Job) -> str:
    """Return a job as TOML.

    Figures that were estimated stand as comments, with their band, so that reading
    the file estimates them again; what was given or measured is written to the last
    digit.
    """
    estimated = {
        f"car.{path}": origin
        for path, origin in job.car.origins.items()
        if origin.kind == "estimated" and path in BY_PATH
    }
    lines = list(_record_lines(job, (), "", estimated))
    while lines and not lines[0]:
        lines.pop(0)
    return "\n".join(lines) + "\n"


def _record_lines(
    record: Record, keys: tuple[str, ...], fields: str, estimated: dict[str, Origin]
) -> Iterator[str]:
    own = keys_of(type(record))
    for key in own:
        value, path = getattr(record, key.field), f"{fields}{key.field}"
        if isinstance(key.shape, Table | OriginTable) or value is None:
            continue
        if path in estimated:
            about = f"{key.key} = {_about(key, value)}"
            yield f"# {about}  # estimated: {_explained(key, estimated[path])}"
        else:
            yield f"{key.key} = {key.shape.write(value)}"
    for key in own:
        value = getattr(record, key.field)
        inner = f"{fields}{key.field}"
        if isinstance(key.shape, OriginTable):
            yield from _origin_lines(type(record), value, (*keys, key.key))
        elif isinstance(key.shape, Table) and key.shape.many:
            for index, item in enumerate(value):
                yield from ("", f"[[{'.'.join((*keys, key.key))}]]")
                yield from _record_lines(item, (*keys, key.key), f"{inner}.{index}.", estimated)
        elif isinstance(key.shape, Table) and value is not None:
            yield from ("", f"[{'.'.join((*keys, key.key))}]")
            yield from _record_lines(value, (*keys, key.key), f"{inner}.", estimated)


def _explained(key: Key, origin: Origin) -> str:
    note = " ".join(origin.note.split())
    if origin.low is None or origin.high is None:
        return note
    return f"{note} ({_rounded(key, origin.low)} to {_rounded(key, origin.high)})"


def _about(key: Key, value: object) -> str:
    return key.shape.write(float(f"{value:.3g}") if isinstance(value, float) else value)


def _rounded(key: Key, value: float) -> str:
    short = float(f"{value:.3g}")
    return key.shape.shown(short) if isinstance(key.shape, Quantity) else f"{short:g}"


def _origin_lines(
    record: type[Record], origins: dict[str, Origin], keys: tuple[str, ...]
) -> Iterator[str]:
    kept = {
        path: origin
        for path, origin in origins.items()
        if not (record is Car and origin.kind == "estimated" and path in BY_PATH)
    }
    if not kept:
        return
    yield from ("", f"[{'.'.join(keys)}]")
    for path, origin in kept.items():
        names = key_path_of(record, path)
        found = find_key(record, names)
        if found is None:
            raise KeyError(path)
        parts = [f"kind = {quoted(origin.kind)}"]
        parts += [
            f"{end} = {found[1].shape.write(value)}"
            for end, value in (("low", origin.low), ("high", origin.high))
            if value is not None
        ]
        if origin.note:
            parts.append(f"note = {quoted(origin.note)}")
        yield f"{quoted(names)} = {{ {', '.join(parts)} }}"
