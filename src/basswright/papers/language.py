"""What the papers say, in the language of the workshop: phrases from TOML files."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from string import Formatter
from types import MappingProxyType

from babel import Locale, UnknownLocaleError

from basswright.errors import InputError, NotFoundError


@dataclass(frozen=True, kw_only=True)
class Language:
    """The phrases of one language, by dotted key.

    In `phrases` the placeholders are bare; in `templates` they keep the kinds that some
    carry, such as ``{level:dB}``.
    """

    name: str
    phrases: Mapping[str, str]
    templates: Mapping[str, str]

    def say(self, key: str, **values: str | int) -> str:
        """Return a phrase with its placeholders filled in.

        Raises
        ------
        NotFoundError
            No phrase of that key.
        """
        if key not in self.phrases:
            raise NotFoundError("phrase", key)
        return self.phrases[key].format(**values)

    def all(self, key: str, **values: str | int) -> tuple[str, ...]:
        """Return the phrases ``key.1``, ``key.2``, ... as far as they go."""
        found: list[str] = []
        while f"{key}.{len(found) + 1}" in self.phrases:
            found.append(self.say(f"{key}.{len(found) + 1}", **values))
        if not found:
            raise NotFoundError("list of phrases", key)
        return tuple(found)

    def has(self, key: str) -> bool:
        """Tell whether there is a phrase of that key."""
        return key in self.phrases


def available() -> tuple[str, ...]:
    """Return the names of the languages that there are."""
    folder = files("basswright.papers") / "languages"
    names = (entry.name for entry in folder.iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@cache
def language(name: str) -> Language:
    """Return a language by its name, or by the part of it before the hyphen.

    Raises
    ------
    InputError
        There is no file for it.
    """
    there = available()
    wanted = next((one for one in (name, name.split("-")[0]) if one in there), "")
    try:
        Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        wanted = ""
    if not wanted:
        raise InputError(
            "the papers are not written in this language",
            field="workshop.language",
            value=name,
            allowed=f"{', '.join(there)}, also with a region such as en-US",
        )
    text = (files("basswright.papers") / "languages" / f"{wanted}.toml").read_text("utf-8")
    templates = dict(_flat("", tomllib.loads(text)))
    phrases = {key: re.sub(r"\{(\w+):[^{}]*\}", r"{\1}", each) for key, each in templates.items()}
    return Language(
        name=wanted, phrases=MappingProxyType(phrases), templates=MappingProxyType(templates)
    )


def placeholders(phrase: str) -> frozenset[str]:
    """Return the names in curly brackets of a phrase."""
    return frozenset(name for _, name, _, _ in Formatter().parse(phrase) if name)


def _flat(prefix: str, table: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        path = f"{prefix}{key}"
        if isinstance(value, Mapping):
            yield from _flat(f"{path}.", value)
        elif isinstance(value, list):
            for index, entry in enumerate(value, start=1):
                yield f"{path}.{index}", str(entry)
        else:
            yield path, str(value)
