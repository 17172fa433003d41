"""The suppliers' words, from `words.toml`, ready to be looked up."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

_PUNCTUATION = re.compile(r"[^\w'+]+|_+")


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("words.toml").read_text(encoding="utf-8"))


def plain(text: str) -> str:
    """Return a text in lower case with single spaces for everything but letters and digits."""
    return " ".join(_PUNCTUATION.sub(" ", text.casefold()).split())


def in_full(text: str) -> str:
    """Return a plain text with the usual abbreviations written out."""
    table = _table()["abbreviations"]
    return " ".join(table.get(word, word) for word in text.split())


@cache
def column_words(kind: str) -> dict[str, str]:
    """Return word -> name of the target, for the columns of a kind of thing."""
    tables = _table()["columns"]
    found: dict[str, str] = {}
    for table in (tables.get(kind, {}), tables["all"]):
        for target, words in table.items():
            for word in words:
                found.setdefault(plain(word), target)
    return found


@cache
def choice_words(field: str) -> dict[str, str]:
    """Return word -> choice for a field that takes one of several words."""
    table = _table()["choices"].get(field, {})
    return {plain(word): choice for choice, words in table.items() for word in words}


@cache
def flag_words() -> dict[str, bool]:
    """Return word -> yes or no."""
    flags = _table()["flags"]
    return {word: answer for answer, key in ((True, "yes"), (False, "no")) for word in flags[key]}


@cache
def nothing_words() -> frozenset[str]:
    """Return what stands in a cell that tells nothing."""
    return frozenset(_table()["nothing"]["cells"])


@cache
def unit_words() -> dict[str, str]:
    """Return what a unit is called, in lower case -> its usual sign."""
    table = _table()["units"]
    return {word.casefold(): unit for unit, words in table.items() for word in words}


@cache
def stem_rules(kind: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Return (target, pattern) for the columns of a kind of thing, in order."""
    tables = _table()["stems"]
    rules = [*tables.get(kind, {}).items(), *tables["all"].items()]
    return tuple((target, re.compile(pattern)) for target, pattern in rules)


def stem_text(name: str) -> str:
    """Return one of the patterns that no single target has."""
    return str(_table()["stems"][name])


@cache
def choice_stems(field: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Return (choice, pattern) for a field that takes one of several words, in order."""
    table = _table()["choice_stems"].get(field, {})
    return tuple((choice, re.compile(pattern)) for choice, pattern in table.items())
