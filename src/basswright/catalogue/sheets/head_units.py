"""Splits the head of a column into what it names and the unit that it tells."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

from basswright.catalogue.sheets.words import plain, unit_words

_BRACKETS: Final = re.compile(r"[\(\[\{]\s*([^)\]}]+?)\s*[\)\]\}]")
_PREPOSITIONS: Final = frozenset({"in", "en", "w", "em", "per", "à", "a"})
#: Units that mean nothing else wherever they stand in a head.
_PLAIN_WORDS: Final = frozenset(
    {"zoll", "inch", "inches", "pouces", "pulgadas", "pollici", "cali", "mm", "cm", "watt", "watts"}
)


def unit_in(text: str) -> str:
    """Return the unit that a text consists of, by its usual sign; empty if it is none."""
    bare = _BRACKETS.sub(r"\1", text).strip().strip(".:").strip().casefold()
    return unit_words().get(bare, "")


@cache
def readings(head: str) -> tuple[tuple[str, str], ...]:
    """Return (name, unit) for each way in which a head may tell a unit, likeliest first."""
    found = []
    bracket = _BRACKETS.search(head)
    if bracket:
        parts = (bracket[1], *reversed(bracket[1].split()))
        unit = next((unit for unit in map(unit_in, parts) if unit), "")
        found.append((plain(_BRACKETS.sub(" ", head)), unit))
    bare = _BRACKETS.sub(" ", head) if bracket else head
    words = [word for word in re.split(r"[\s,/_.:|-]+", bare) if word]
    for count in (2, 1):
        unit = unit_in(" ".join(words[-count:])) if len(words) > count else ""
        if unit:
            name = words[:-count]
            while name and name[-1].casefold() in _PREPOSITIONS:
                name.pop()
            found.append((plain(" ".join(name)), unit))
    for place, word in enumerate(words):
        if len(words) > 1 and word.casefold() in _PLAIN_WORDS:
            rest = plain(" ".join(words[:place] + words[place + 1 :]))
            found.append((rest, unit_in(word)))
    found.append((plain(" ".join(words)), ""))
    return tuple(dict.fromkeys((name, unit) for name, unit in found if name))
