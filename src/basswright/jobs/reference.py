"""The reference of the job file, written from the records themselves."""

from __future__ import annotations

from collections.abc import Iterator

from basswright.jobs.estimates import BY_PATH
from basswright.jobs.keys import Key, keys_of
from basswright.jobs.shapes import (
    WRITTEN_UNITS,
    Choice,
    ListOf,
    OriginTable,
    Quantity,
    Table,
)
from basswright.quantities import allowed_units
from basswright.records.base import Record
from basswright.records.job import Job

_HEAD = "| key | value | meaning | when it is missing |\n| --- | --- | --- | --- |"


def reference() -> str:
    """Return one Markdown table for each table of a job file, and one of the units.

    A table that several kinds share, such as the opening of a load space, stands once.
    """
    tables = dict.fromkeys(_tables(Job, "", ""))
    return "\n\n".join([*tables, _units()]) + "\n"


def _units() -> str:
    kinds = sorted({kind for kind in WRITTEN_UNITS if kind in _used(Job)})
    rows = [f"| {kind} | {allowed_units(kind)} |" for kind in kinds]
    return "\n".join(["### Units", "", "| kind | written as |", "| --- | --- |", *rows])


def _used(record: type[Record]) -> set[str]:
    used = {key.shape.kind for key in keys_of(record) if isinstance(key.shape, Quantity)}
    for key in keys_of(record):
        if isinstance(key.shape, Table):
            used |= {kind for inner in key.shape.variants.values() for kind in _used(inner)}
    return used


def _tables(record: type[Record], keys: str, fields: str, note: str = "") -> Iterator[str]:
    plain = [key for key in keys_of(record) if not isinstance(key.shape, Table | OriginTable)]
    title = f"### `[{keys}]`" if keys else "### At the top"
    rows = [_row(key, f"{fields}{key.field}") for key in plain]
    yield "\n".join([f"{title}{note}", "", _HEAD, *rows])
    for key in keys_of(record):
        if not isinstance(key.shape, Table):
            continue
        path = f"{keys}.{key.key}" if keys else key.key
        groups: dict[type[Record], list[str]] = {}
        for tag, variant in key.shape.variants.items():
            groups.setdefault(variant, []).append(tag)
        for variant, tags in groups.items():
            which = f" for {key.shape.tag_field} {', '.join(tags)}" if key.shape.tag_field else ""
            several = " (any number of them)" if key.shape.many else ""
            yield from _tables(variant, path, f"{fields}{key.field}.", which + several)


def _row(key: Key, path: str) -> str:
    return f"| `{key.key}` | {_value(key)} | {key.description} | {_when_missing(key, path)} |"


def _value(key: Key) -> str:
    if isinstance(key.shape, Quantity):
        text = key.shape.kind
    elif isinstance(key.shape, Choice):
        text = f"one of {', '.join(f'`{word}`' for word in key.shape.words)}"
    elif isinstance(key.shape, ListOf) and isinstance(key.shape.item, Choice):
        text = f"list of {', '.join(f'`{word}`' for word in key.shape.item.words)}"
    else:
        text = key.shape.wanted
    limits = key.range_text()
    return f"{text}; {limits}" if limits else text


def _when_missing(key: Key, path: str) -> str:
    estimator = BY_PATH.get(path.removeprefix("car."))
    if path == "car.load_space.kind":
        return "as `car.body`"
    if key.required and estimator is not None and path.startswith("car."):
        return f"estimated: {estimator.rule}"
    if key.required:
        return "**required**"
    if key.default is None:
        return "left out"
    return f"`{key.shape.write(key.default)}`"
