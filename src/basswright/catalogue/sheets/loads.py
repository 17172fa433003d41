"""Reads the load of a box as suppliers write it: one figure, coils, or a choice of loads."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from basswright.errors import InputError, QuantityError
from basswright.quantities import read

_MOST_COILS: Final = 8
_OHM = r"(?:ohms?|Ω|\u2126|Ω)"
_FIGURE = r"\d+(?:[.,]\d+)?"
#: Two coils on one cone (common practice, no source).
_DUAL = re.compile(
    r"\b(?:dvc(?=\b|\d)|dual(?:[ -](?:voice[ -])?coils?)?|double[ -](?:voice[ -]coils?|bobines?)|"
    r"doppel(?:schwing)?spulen?|doppia bobina|doble bobina|podwójna cewka)(?=\b|\d)|\bD(?=\s*\d)",
    re.I,
)
_SINGLE = re.compile(
    r"\b(?:svc|single(?:[ -](?:voice[ -])?coil)?|einzelschwingspule)(?=\b|\d)|\bS(?=\d)",
    re.I,
)
_FILLING = re.compile(r"\b(?:voice|coils?|spulen?|bobines?|je|each|in|with|mit)\b", re.I)
#: "2 x DVC 4" are two cones with two coils each, "DVC 2x4" are two coils.
_SEVERAL_DUAL = re.compile(rf"\d\s*[x×*]\s*(?:{_DUAL.pattern})", re.I)
#: Words that say that each coil has terminals of its own.
_OUTSIDE = re.compile(
    r"\b(?:terminals?|separate(?:ly)?|led out|selectable|switchable|user|"
    r"series ?(?:/|or) ?parallel|anschl\w*|klemmen?|getrennt\w*|wählbar|umschaltbar|einzeln|"
    r"bornes?|borniers?|séparée?s?|"
    r"au choix|morsetti|separat\w*|bornas|terminales|zacisk\w*|wyprowadz\w*)\b",
    re.I,
)
_COILS = re.compile(rf"^(?:(\d+)\s*[x×*]\s*)?({_FIGURE})$", re.I)
_SUM = re.compile(rf"^{_FIGURE}(?:\s*\+\s*{_FIGURE})+$")
_CHOICE = re.compile(
    rf"^{_FIGURE}(?:\s*(?:/|,|;|\bor\b|\boder\b|\bou\b|\bo\b|\blub\b)\s*{_FIGURE})+$"
)


@dataclass(frozen=True, kw_only=True)
class LoadTold:
    """What a cell tells of a load: coils of so many ohms, and whether each is led out."""

    coils: int
    each_ohm: float
    outside: bool


def read_coils(text: str, *, outside: bool = False) -> LoadTold:
    """Read ``2 ohm``, ``2x4Ω``, ``4+4``, ``DVC 2Ω``, ``dual 4 ohm`` or ``2 or 8 ohm``.

    A choice of loads can only be joined outside; otherwise words such as "terminals"
    say so, or `outside`.

    Raises
    ------
    InputError
        Nothing that a box can have.
    """
    told = outside or bool(_OUTSIDE.search(text))
    bare = _SINGLE.sub(" ", text)
    bare, dual = _DUAL.subn(" ", bare)
    bare = re.sub(rf"{_OUTSIDE.pattern}|{_OHM}|[()\[\]]", " ", bare, flags=re.I)
    bare = " ".join(_FILLING.sub(" ", bare).split()).strip(" ,;:.")
    factor = 2 if dual else 1
    coils = _COILS.match(bare)
    if coils:
        count = int(coils[1] or 1)
        twice = dual and count == factor and not _SEVERAL_DUAL.search(text)
        total = count if twice else count * factor
        return _checked(text, total, coils[2], told)
    if _SUM.match(bare):
        parts = re.split(r"\s*\+\s*", bare)
        if len(set(parts)) == 1:
            return _checked(text, len(parts), parts[0], told)
    if _CHOICE.match(bare) and not dual:
        return _of_choice(text, [_ohm(part) for part in re.findall(_FIGURE, bare)])
    raise _refused(text)


def _of_choice(text: str, loads: Sequence[float]) -> LoadTold:
    """Return the coils that make just these loads: 2 or 8 ohm are two coils of 4 ohm."""
    low, high = min(loads), max(loads)
    count = round((high / low) ** 0.5)
    if not 2 <= count <= _MOST_COILS or abs(count * count * low / high - 1) > 0.12:
        raise _refused(text)
    return _checked(text, count, f"{(low * high) ** 0.5:.6g}", True)


def _checked(text: str, count: int, figure: str, outside: bool) -> LoadTold:
    each = _ohm(figure)
    if not 1 <= count <= _MOST_COILS or each <= 0:
        raise _refused(text)
    return LoadTold(coils=count, each_ohm=each, outside=outside and count > 1)


def _ohm(figure: str) -> float:
    try:
        return read(f"{figure.replace(',', '.')} ohm", "resistance")
    except QuantityError:
        raise _refused(figure) from None


def _refused(text: str) -> InputError:
    return InputError(
        "no load that a box can have",
        value=text,
        allowed=f"such as 4 ohm, 2x4 ohm, dual 2 ohm, 2 or 8 ohm; up to {_MOST_COILS} coils",
    )
