"""How things of the catalogue are written into the store and read back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache
from types import GenericAlias
from typing import Any

from pydantic import TypeAdapter, ValidationError

from basswright.database.kinds import RECORDS, Item
from basswright.errors import InputError, InputErrors, NotFoundError

_NOT_IN_A_NAME = re.compile(r"[\W_]+")


def record_of(kind: str) -> type[Item]:
    """Return the record of a kind of thing.

    Raises
    ------
    NotFoundError
        When there is no such kind.
    """
    if kind not in RECORDS:
        raise NotFoundError("kind of thing", kind, tuple(RECORDS))
    return RECORDS[kind]


def kind_of_item(item: Item) -> str:
    """Return the kind that a record belongs to."""
    return next(kind for kind, record in RECORDS.items() if type(item) is record)


def written(item: Item) -> str:
    """Return a record as it is kept."""
    return item.model_dump_json(exclude_none=True)


def name_key(maker: str, model: str) -> str:
    """Return maker and model without case, spaces and punctuation, to tell duplicates."""
    both = (_NOT_IN_A_NAME.sub("", part.casefold())[:96] for part in (maker, model))
    return "|".join(both)


def read_back(kind: str, contents: Sequence[str]) -> tuple[Item, ...]:
    """Read records from what is kept.

    Raises
    ------
    InputErrors
        When something kept is not what this version of the program takes; every such
        thing is named.
    """
    try:
        return _adapter(kind).validate_json("[" + ",".join(contents) + "]", strict=True)
    except ValidationError as error:
        raise InputErrors(_named(contents, error), item=f"kept {kind}") from error


@cache
def _adapter(kind: str) -> TypeAdapter[tuple[Item, ...]]:
    many: Any = GenericAlias(tuple, (record_of(kind), ...))
    return TypeAdapter(many)


def _named(contents: Sequence[str], error: ValidationError) -> Iterable[InputError]:
    for problem in error.errors(include_url=False):
        place = problem["loc"]
        row = int(place[0]) if place and str(place[0]).isdigit() else 0
        found = re.search(r'"id":"([^"]*)"', contents[row])
        yield InputError(
            problem["msg"],
            item=found[1] if found else f"number {row + 1}",
            field=".".join(str(part) for part in place[1:]),
            value=problem["input"] if not isinstance(problem["input"], dict) else None,
        )
