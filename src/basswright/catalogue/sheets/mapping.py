"""Which column of a sheet tells what: guessed from its head, shown, corrected, remembered."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from basswright.catalogue.sheets import stems
from basswright.catalogue.sheets.head_units import readings
from basswright.catalogue.sheets.targets import Target, targets
from basswright.catalogue.sheets.words import column_words, in_full, plain
from basswright.errors import InputError, InputErrors
from basswright.quantities import UNITS

How = Literal["exact", "guessed", "given", "remembered", "unused"]
#: Kinds of quantity for which a bare number can only mean one unit.
OBVIOUS_UNIT: Final = {
    "resistance": "ohm",
    "power": "W",
    "power range": "W",
    "load": "ohm",
    "frequency": "Hz",
    "level": "dB",
    "current": "A",
    "voltage": "V",
    "capacity": "Ah",
}
_LEAST_SCORE: Final = 86.0
_ALL_UNITS: Final = {unit.lower() for units in UNITS.values() for unit in units if unit}
_BRACKETS = re.compile(r"[\(\[\{]\s*([^)\]}]+?)\s*[\)\]\}]")
_AT_LOAD = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:ohms?\b|Ω|\u2126)", re.I)
_PEAK = re.compile(r"\b(peak|max|maximum|maximal\w*|spitze\w*|crête|music|musik\w*|pmpo)\b", re.I)
_POWER_WORD = re.compile(
    r"power|leistung|belastb|puissance|watt|potenc|potenza|\bmoc\b|\brms\b", re.I
)
_BRIDGED = re.compile(r"bridg|gebrückt|brücke|ponté|\bpont\b|puente|ponte|mostk", re.I)
_POWER = re.compile(
    r"power|leistung|puissance|potenc|potenza|moc\b|vermogen|watt|rms|\bw\b|bridg|brück|pont|"
    r"puente|mostk|×|\bx\b|mono",
    re.I,
)
#: "RMS/Max" and the like: the cell tells both, the continuous power first.
_RMS_FIRST = re.compile(r"\b(rms|nenn\w*)\b\s*[/|-]", re.I)


@dataclass(frozen=True, kw_only=True)
class ColumnMapping:
    """What one column tells.

    `target` is the name of a target (None: not used), or ``ratings@4 ohm`` and
    ``ratings@4 ohm bridged`` for a power at a load. `unit` holds where a cell has none;
    empty if neither head nor mapping names one. `score` is how sure a guess is, of 100.
    """

    index: int
    head: str
    target: str | None
    unit: str = ""
    how: How = "unused"
    score: float = 0.0
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class SheetMapping:
    """What every column of a sheet tells, in the order of the columns."""

    kind: str
    columns: tuple[ColumnMapping, ...]

    @property
    def unused(self) -> tuple[str, ...]:
        """Heads of the columns that are not used."""
        return tuple(column.head for column in self.columns if column.target is None)

    @property
    def guessed(self) -> tuple[ColumnMapping, ...]:
        """The columns whose meaning is a guess that somebody should look at."""
        return tuple(column for column in self.columns if column.how == "guessed")

    def corrected(self, corrections: Mapping[str, str | None]) -> SheetMapping:
        """Return the mapping with some columns set by hand.

        Parameters
        ----------
        corrections : mapping
            Head of a column -> name of a target, with the unit of bare numbers in
            brackets where it is not told (``"shape.width [mm]"``), or None to leave
            the column out.

        Raises
        ------
        InputErrors
            A head that is not there, a target or unit that is not known, or one target
            told by two columns.
        """
        return _with_given(self, corrections, "given")

    def remembered(self) -> dict[str, str | None]:
        """Return what has to be kept to map the same supplier's next sheet alike."""
        return {
            column.head: None if column.target is None else _in_words(column)
            for column in self.columns
            if column.head
        }

    def to_json(self) -> str:
        """Return :meth:`remembered` as JSON."""
        return json.dumps(self.remembered(), ensure_ascii=False, sort_keys=True)


def guess(
    kind: str,
    heads: Sequence[str],
    *,
    above: Sequence[str] = (),
    remembered: Mapping[str, str | None] | None = None,
) -> SheetMapping:
    """Guess what the columns of a sheet tell; what is remembered of a supplier goes first.

    Parameters
    ----------
    kind : str
    heads : sequence of str
    above : sequence of str
        Texts of merged cells above the heads, one a column; a merged cell may end
        before its text does, which is seen by what the columns tell.
    remembered : mapping, optional
        As :meth:`SheetMapping.remembered` gives it.
    """
    words = column_words(kind)
    known = targets(kind)
    found = [
        _with_group(kind, i, head, above[i] if i < len(above) else "", words=words, known=known)
        for i, head in enumerate(heads)
    ]
    found = _group_units(found, above, known)
    columns = [
        column if column.target is None else replace(column, target=None, unit="", how="unused")
        for column in found
    ]
    barred = {head for head, told in (remembered or {}).items() if told is None}
    taken: set[str] = set()
    for candidate in sorted(found, key=lambda column: (-column.score, column.index)):
        target = candidate.target
        if target is None or candidate.head in barred:
            continue
        if target in taken:
            note = f"another column tells {target} already"
            columns[candidate.index] = replace(columns[candidate.index], note=note, score=0.0)
        else:
            taken.add(target)
            columns[candidate.index] = candidate
    mapping = SheetMapping(kind=kind, columns=tuple(_distinct(columns)))
    there = {column.head for column in mapping.columns}
    kept = {head: told for head, told in (remembered or {}).items() if head in there}
    return _with_given(mapping, kept, "remembered") if kept else mapping


def _with_group(
    kind: str,
    index: int,
    head: str,
    group: str,
    *,
    words: Mapping[str, str],
    known: Mapping[str, Target],
) -> ColumnMapping:
    """Take the head alone, or with the merged cell above it if that tells more."""
    alone = _best(kind, index, head, words, known)
    if not group or not head:
        return alone
    together = _best(kind, index, f"{group} {head}", words, known)
    if together.target == alone.target:
        return replace(alone, unit=alone.unit or together.unit)
    better = together.how == "exact" or together.score > alone.score
    return together if better else alone


def _group_units(
    columns: list[ColumnMapping], above: Sequence[str], known: Mapping[str, Target]
) -> list[ColumnMapping]:
    """Hand the unit of a merged cell down, as far as the columns tell the same sort of thing."""
    result = list(columns)
    group, sort = "", ("", "")
    for i, column in enumerate(columns):
        text = above[i] if i < len(above) else ""
        unit = _BRACKETS.search(text)
        target = known.get(column.target or "")
        here = (target.reads, target.name.rpartition(".")[0]) if target else ("", "")
        if text != group:
            group, sort = text, here
        if unit and target and here == sort and not column.unit and _is_unit(here[0], unit[1]):
            result[i] = replace(column, unit=unit[1])
    return result


def _distinct(columns: Sequence[ColumnMapping]) -> list[ColumnMapping]:
    """Number heads that come twice, so that each can be named in a correction."""
    seen: dict[str, int] = {}
    result = []
    for column in columns:
        seen[column.head] = count = seen.get(column.head, 0) + 1
        twice = count > 1 and column.head
        result.append(replace(column, head=f"{column.head} ({count})") if twice else column)
    return result


def _best(
    kind: str, index: int, head: str, words: Mapping[str, str], known: Mapping[str, Target]
) -> ColumnMapping:
    nothing = ColumnMapping(index=index, head=head, target=None)
    if not head.strip():
        return nothing
    if kind == "amplifiers":
        at_load = _rating_target(head)
        if at_load:
            return replace(nothing, target=at_load, unit="W", how="exact", score=100.0)
    order = stems.dimension_order(head) if kind == "enclosures" else None
    if order is not None or (kind == "enclosures" and _RMS_FIRST.search(head)):
        meant = stems.order_target(order) if order else "power"
        unit = next((u for _, u in readings(head) if u and _is_unit(known[meant].reads, u)), "")
        how: How = "exact" if order else "guessed"
        score = 97.0 if order else stems.SCORE
        return replace(nothing, target=meant, unit=unit, how=how, score=score)
    best = nothing
    for name, unit in _readings(head):
        target, score = _look_up(name, words, known)
        if target is None:
            continue
        reads = known[target].reads
        if unit and not _is_unit(reads, unit):
            continue
        score -= 0 if unit or name == plain(head) else 2
        if score > best.score:
            how = "exact" if score >= 95 else "guessed"
            best = replace(nothing, target=target, unit=unit, how=how, score=score)
    if best.score < stems.SCORE:
        best = _by_stem(kind, best, head, known)
    if best.how != "exact" and _POWER_WORD.search(head) and _PEAK.search(head):
        return replace(nothing, note="a peak or maximum figure is not an RMS power")
    return best


def _by_stem(
    kind: str, best: ColumnMapping, head: str, known: Mapping[str, Target]
) -> ColumnMapping:
    """Take what words in the head tell, if that is surer than what was found so far."""
    for name, unit in readings(head):
        target, score = stems.stem_target(kind, name, known)
        if target is None or score <= best.score:
            continue
        if unit and not _is_unit(known[target].reads, unit):
            continue
        note = stems.GROSS_NOTE if target == "price" and stems.is_gross(name) else ""
        best = replace(best, target=target, unit=unit, how="guessed", score=score, note=note)
    return best


def _readings(head: str) -> list[tuple[str, str]]:
    """Return the ways to split a head into a name and a unit, the likeliest first."""
    bracket = _BRACKETS.search(head)
    without = plain(_BRACKETS.sub(" ", head))
    found = [(without, bracket[1].strip() if bracket else "")]
    words = [word for word in re.split(r"[\s,/]+", head) if word]
    for count in (2, 1):
        if not bracket and len(words) > count and " ".join(words[-count:]).lower() in _ALL_UNITS:
            name = [word for word in words[:-count] if word != "in"]
            found.append((plain(" ".join(name)), " ".join(words[-count:])))
    found += [(plain(head), ""), (without, "")]
    found += readings(head)
    found += [(in_full(name), unit) for name, unit in found]
    return list(dict.fromkeys((name, unit) for name, unit in found if name))


def _look_up(
    name: str, words: Mapping[str, str], known: Mapping[str, Target]
) -> tuple[str | None, float]:
    own = {plain(target): target for target in known}
    if name in own:
        return own[name], 100.0
    if name in words and words[name] in known:
        return words[name], 99.0
    if len(name) < 5:
        return None, 0.0
    from rapidfuzz import fuzz, process

    every = {**{word: target for word, target in words.items() if target in known}, **own}
    long_ones = [word for word in every if len(word) >= 4]
    match = process.extractOne(
        name, long_ones, scorer=fuzz.token_sort_ratio, score_cutoff=_LEAST_SCORE
    )
    return (every[match[0]], 0.94 * match[1]) if match else (None, 0.0)


def _rating_target(head: str) -> str | None:
    load = _AT_LOAD.search(head)
    if load is None or not _POWER.search(head) or _PEAK.search(head.replace("RMS max", "")):
        return None
    ohm = f"{float(load[1].replace(',', '.')):g}"
    return f"ratings@{ohm} ohm{' bridged' if _BRIDGED.search(head) else ''}"


def _is_unit(reads: str, unit: str) -> bool:
    units = UNITS.get({"load": "resistance", "power range": "power"}.get(reads, reads))
    if reads == "dimensions":
        units = UNITS["length"]
    if reads == "money":
        return bool(re.fullmatch(r"[A-Z]{3}|[a-z]{3}|[€$£]|.*(net|netto|ht|excl|incl).*", unit))
    return units is not None and (unit in units or unit.lower() in units)


def _in_words(column: ColumnMapping) -> str:
    return f"{column.target} [{column.unit}]" if column.unit else str(column.target)


def _with_given(mapping: SheetMapping, given: Mapping[str, str | None], how: How) -> SheetMapping:
    known = targets(mapping.kind)
    by_head = {column.head: column for column in mapping.columns}
    columns = list(mapping.columns)
    errors: list[InputError] = []
    for head, told in given.items():
        if head not in by_head:
            heads = ", ".join(repr(h) for h in by_head if h)
            errors.append(InputError("no such column", field=head, allowed=heads))
            continue
        index = by_head[head].index
        if told is None:
            columns[index] = ColumnMapping(index=index, head=head, target=None, note="left out")
            continue
        name, unit = _split(told)
        problem = _problem(name, unit, known, mapping.kind)
        if problem:
            errors.append(InputError(*problem[:1], field=head, value=told, allowed=problem[1]))
            continue
        unit = unit or by_head[head].unit
        columns[index] = ColumnMapping(
            index=index, head=head, target=name, unit=unit, how=how, score=100.0
        )
    columns = _without_doubles(columns, {head for head, told in given.items() if told}, errors)
    if errors:
        raise InputErrors(errors, item="mapping")
    return replace(mapping, columns=tuple(columns))


def _split(told: str) -> tuple[str, str]:
    match = re.fullmatch(r"\s*(.+?)\s*(?:\[\s*(.+?)\s*\])?\s*", told)
    return (match[1], match[2] or "") if match else (told, "")


def _problem(
    name: str, unit: str, known: Mapping[str, Target], kind: str
) -> tuple[str, str] | None:
    if name.startswith("ratings@") and kind == "amplifiers":
        return None if _AT_LOAD.search(name) else ("not a load", "such as ratings@4 ohm")
    if name not in known:
        return "nothing that a column can tell", ", ".join(known)
    if unit and not _is_unit(known[name].reads, unit):
        units = UNITS.get(known[name].reads, {})
        return f"not a unit of {name}", ", ".join(u for u in units if u) or "no unit"
    return None


def _without_doubles(
    columns: list[ColumnMapping], given: set[str], errors: list[InputError]
) -> list[ColumnMapping]:
    """Drop guesses that a given column replaces; two given ones for one target are refused."""
    holders: dict[str, Any] = {}
    result = list(columns)
    for column in sorted(columns, key=lambda column: column.head not in given):
        if column.target is None:
            continue
        other = holders.setdefault(column.target, column)
        if other is column:
            continue
        if column.head in given:
            errors.append(
                InputError(f"{other.head!r} tells {column.target} already", field=column.head)
            )
        else:
            note = f"another column tells {column.target} already"
            result[column.index] = ColumnMapping(
                index=column.index, head=column.head, target=None, note=note
            )
    return result
