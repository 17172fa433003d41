"""From the tables of a file or a form to the fields of a record, all problems at once.

Reading goes in three steps: every key is read by its shape (here); what was not read
is estimated where it can be (:mod:`basswright.jobs.estimates`); the record itself then
checks ranges, and its complaints are told in the words of the file (here again).
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import ValidationError

from basswright.errors import InputError
from basswright.jobs.keys import Key, key_of, keys_of, variant_of
from basswright.jobs.shapes import Choice, OriginTable, Quantity, Table
from basswright.records.base import Origin, Record

Tree = dict[str, Any]
R = TypeVar("R", bound=Record)


@dataclass(kw_only=True)
class Reading:
    """What was read: field values as nested dicts, and every problem met on the way."""

    tree: Tree = field(default_factory=dict)
    problems: list[InputError] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


def read_table(record: type[Record], raw: Mapping[str, object], optional: set[str]) -> Reading:
    """Read a raw table as fields of a record.

    Parameters
    ----------
    record : type
        The record whose fields are looked for.
    raw : mapping
        Keys as in a file, values as TOML or a form gives them.
    optional : set of str
        Dotted paths of required fields that may be missing, since they are estimated.

    Returns
    -------
    Reading
        `missing` holds the dotted field paths of required fields that were not there.
    """
    reading = Reading()
    reading.tree = _fields(record, raw, _Place(), reading)
    for place in (path for path in reading.missing if path not in optional):
        reading.problems.append(_missing(record, place))
    return reading


@dataclass(frozen=True, kw_only=True)
class _Place:
    fields: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()

    def at(self, key: Key) -> _Place:
        return _Place(fields=(*self.fields, key.field), keys=(*self.keys, key.key))

    def item(self, index: int) -> _Place:
        return _Place(
            fields=(*self.fields, str(index)), keys=(*self.keys[:-1], f"{self.keys[-1]}[{index}]")
        )

    @property
    def field_path(self) -> str:
        return ".".join(self.fields)

    @property
    def key_path(self) -> str:
        return ".".join(self.keys)


def _fields(
    record: type[Record], raw: Mapping[str, object], place: _Place, reading: Reading
) -> Tree:
    tree: Tree = {}
    for name in raw:
        if key_of(record, name) is None:
            reading.problems.append(_unknown(record, name, place))
    for key in keys_of(record):
        here = place.at(key)
        if key.key in raw:
            _one(record, key, raw[key.key], (here, tree, reading))
        elif key.required:
            _absent(key, here, tree, reading)
    return tree


def _one(
    record: type[Record], key: Key, value: object, where: tuple[_Place, Tree, Reading]
) -> None:
    here, tree, reading = where
    if isinstance(key.shape, OriginTable):
        tree[key.field] = _origins(record, value, here, reading)
    elif isinstance(key.shape, Table):
        content = _tables(key.shape, value, here, reading)
        if content is not None:
            tree[key.field] = content
    else:
        try:
            tree[key.field] = key.shape.read(value)
        except InputError as error:
            reading.problems.append(error.at(field=here.key_path))


def _absent(key: Key, here: _Place, tree: Tree, reading: Reading) -> None:
    if isinstance(key.shape, Table) and not key.shape.tag_field and not key.shape.many:
        tree[key.field] = _fields(key.shape.variants[""], {}, here, reading)
    else:
        reading.missing.append(here.field_path)


def _tables(shape: Table, value: object, here: _Place, reading: Reading) -> object:
    if not shape.many:
        return _single(shape, value, here, reading)
    if not isinstance(value, list | tuple):
        reading.problems.append(
            InputError("not a list of tables", field=here.key_path, value=value)
        )
        return None
    found = (_single(shape, item, here.item(i), reading) for i, item in enumerate(value))
    return tuple(item for item in found if item is not None)


def _single(shape: Table, value: object, here: _Place, reading: Reading) -> Tree | None:
    if not isinstance(value, Mapping):
        problem = InputError("not a table", field=here.key_path, value=value, allowed=shape.wanted)
        reading.problems.append(problem)
        return None
    tag = value.get(shape.tag_field)
    tag = tag.strip().lower() if isinstance(tag, str) else tag
    variant = variant_of(shape, tag)
    if variant is None:
        reading.problems.append(
            InputError(
                "which kind is missing" if tag is None else "no such kind",
                field=f"{here.key_path}.{shape.tag_field}",
                value=tag,
                allowed=", ".join(shape.variants),
            )
        )
        return None
    return _fields(variant, value, here, reading)


def _origins(record: type[Record], value: object, here: _Place, reading: Reading) -> Tree:
    if not isinstance(value, Mapping):
        reading.problems.append(InputError("not a table", field=here.key_path, value=value))
        return {}
    origins: Tree = {}
    for path, content in value.items():
        place = f'{here.key_path}."{path}"'
        found = find_key(record, path)
        if found is None or not isinstance(content, Mapping):
            told = "no such figure" if found is None else "not a table"
            reading.problems.append(InputError(told, field=place, value=path))
            continue
        field_path, key = found
        try:
            origins[field_path] = _origin(key, content)
        except InputError as error:
            reading.problems.append(error.at(field=f"{place}.{error.field}".rstrip(".")))
    return origins


def _origin(key: Key, content: Mapping[str, object]) -> Origin:
    values: Tree = {}
    for own in keys_of(Origin):
        if own.key not in content:
            continue
        shape = key.shape if own.key in ("low", "high") else own.shape
        try:
            values[own.field] = shape.read(content[own.key])
        except InputError as error:
            raise error.at(field=own.key) from None
    unknown = sorted(set(content) - {own.key for own in keys_of(Origin)})
    if unknown or "kind" not in values:
        raise InputError(
            f"unknown key {unknown[0]!r}" if unknown else "the kind is missing",
            allowed="kind (given, measured or estimated), low, high, note",
        )
    return Origin(**values)


def find_key(record: type[Record], key_path: str) -> tuple[str, Key] | None:
    """Return the field path and the key behind ``"cabin.volume"``; None if there is none."""
    key, fields, records = None, [], [record]
    for part in key_path.split("."):
        key = next((found for known in records if (found := key_of(known, part))), None)
        if key is None:
            return None
        fields.append(key.field)
        records = list(key.shape.variants.values()) if isinstance(key.shape, Table) else []
    return (".".join(fields), key) if key else None


def build(record: type[R], tree: Tree) -> tuple[R | None, list[InputError]]:
    """Make the record, or tell in the words of the file what it refuses."""
    try:
        return record.model_validate(tree), []
    except ValidationError as error:
        return None, [_refused(record, dict(detail)) for detail in error.errors()]


def _refused(record: type[Record], detail: dict[str, Any]) -> InputError:
    names: list[str] = []
    key: Key | None = None
    records = [record]
    for part in detail["loc"]:
        if isinstance(part, int):
            names[-1:] = [f"{names[-1]}[{part}]"] if names else []
            continue
        known = [k for r in records for k in keys_of(r) if k.field == part]
        if not known:  # the tag of a variant stands in the path, too
            if key is not None and isinstance(key.shape, Table) and part in key.shape.variants:
                records = [key.shape.variants[part]]
            continue
        key = known[0]
        names.append(key.key)
        records = list(key.shape.variants.values()) if isinstance(key.shape, Table) else []
    return _told(".".join(names), key, detail)


def _told(place: str, key: Key | None, detail: dict[str, Any]) -> InputError:
    value, message = detail["input"], str(detail["msg"]).removeprefix("Value error, ")
    if detail["type"] == "missing":
        told = f"is missing: {key.description}" if key and key.description else "is missing"
        return InputError(told, field=place, allowed=key.shape.wanted if key else "")
    if isinstance(value, Mapping | Record):
        return InputError(message, field=place)
    allowed = key.range_text() if key else ""
    if key and isinstance(key.shape, Quantity) and isinstance(value, float):
        value = key.shape.shown(value)
    if detail["type"] in ("greater_than", "less_than", "greater_than_equal", "less_than_equal"):
        message = "out of range"
    elif detail["type"] == "too_short" and isinstance(value, tuple | list):
        least = detail["ctx"]["min_length"]
        return InputError(f"has {len(value)} entries", field=place, allowed=f"at least {least}")
    elif detail["type"] == "string_pattern_mismatch":
        message, allowed = "not written as it has to be", key.description if key else ""
    elif not allowed and key:
        allowed = key.shape.wanted if isinstance(key.shape, Choice) else ""
    return InputError(message[:1].lower() + message[1:], field=place, value=value, allowed=allowed)


def _unknown(record: type[Record], name: str, place: _Place) -> InputError:
    names = [key.key for key in keys_of(record)]
    near = difflib.get_close_matches(name, names, n=1, cutoff=0.5)
    with_unit = [key.key for key in keys_of(record) if key.field == name]
    hint = (with_unit or near or [""])[0]
    return InputError(
        f"unknown key; did you mean {hint!r}?" if hint else "unknown key",
        field=".".join((*place.keys, name)),
        allowed="" if hint else ", ".join(names),
    )


def _missing(record: type[Record], place: str) -> InputError:
    names: list[str] = []
    key: Key | None = None
    records = [record]
    for part in place.split("."):
        if part.isdigit():
            names[-1] += f"[{part}]"
            continue
        key = next(k for r in records for k in keys_of(r) if k.field == part)
        names.append(key.key)
        records = list(key.shape.variants.values()) if isinstance(key.shape, Table) else []
    allowed = key.shape.wanted if key else ""
    text = f"is missing: {key.description}" if key and key.description else "is missing"
    return InputError(text, field=".".join(names), allowed=allowed)
