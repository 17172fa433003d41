"""What may be tried without being saved, and how a concession is tried at one press."""

from __future__ import annotations

import re
from typing import Final
from urllib.parse import urlencode

from basswright.jobs.keys import keys_of
from basswright.jobs.table import find_key
from basswright.records.job import Job
from basswright.records.options import Concession
from basswright.records.wish import ALL_BOX_KINDS
from basswright.web.forms import is_field

#: Rule -> dotted key, and the sign of the change that gives way.
_WISHES: Final = {
    "budget": ("wish.budget", 1.0),
    "loud enough": ("wish.level", -1.0),
    "low enough": ("wish.low_limit", 1.0),
    "luggage": ("wish.luggage_keep", -1.0),
}
#: Steps to which a tried wish is rounded, towards giving way.
_STEPS: Final = {"wish.budget": 1.0, "wish.level": 0.1, "wish.low_limit": 0.1}


def may_be_tried(path: str) -> bool:
    """Say whether a key of a job may stand in the address of the options."""
    in_place = path.startswith(("wish.", "car.load_space."))
    return in_place and path != "car.load_space.kind" and is_field(path)


def query_of(job: Job, concession: Concession) -> str:
    """Return the query that tries a concession, empty where it cannot be tried."""
    values: dict[str, str] = {}
    steps = zip(concession.rules, concession.what, concession.amounts, strict=True)
    for rule, what, amount in steps:
        found = _change(job, rule, what, amount)
        if found is None:
            return ""
        values[found[0]] = found[1]
    return urlencode(values)


def _change(job: Job, rule: str, what: str, amount: float) -> tuple[str, str] | None:
    if rule == "box kind":
        return "wish.box_kinds", ",".join(ALL_BOX_KINDS)
    if rule == "built-in amplifier":
        return "wish.built_in_amplifier", "either"
    if rule in _WISHES:
        path, sign = _WISHES[rule]
        return path, _moved(job, path, sign * amount)
    if rule in ("space", "opening"):
        return _more_room(job, rule, what, amount)
    return None


def _moved(job: Job, path: str, amount: float) -> str:
    value = getattr(job.wish, _field(path))
    if path == "wish.luggage_keep":
        return f"{max(0.0, value * 1000 + amount - 0.05):.1f} L"
    step = _STEPS[path]
    new = value + amount + (step if amount > 0 else -step) * 0.5
    unit = {"wish.level": " dB", "wish.low_limit": " Hz"}.get(path, "")
    return f"{round(new / step) * step:.1f}{unit}" if unit else f"{round(new / step) * step:.0f}"


def _more_room(job: Job, rule: str, what: str, amount: float) -> tuple[str, str] | None:
    table = "car.load_space" if rule == "space" else "car.load_space.opening"
    node = job.car.load_space if rule == "space" else job.car.load_space.opening
    said = set(re.findall(r"[a-z]+", what.lower()))
    if "between the wheel arches" in what:
        said = {"width", "floor"}
    best, best_score = None, 0
    for key in keys_of(type(node)):
        words = set(key.key.split("_"))
        score = len(words & said) * 10 - len(words - said)
        is_length = key.field.endswith("_m") and isinstance(getattr(node, key.field), float)
        if is_length and words & said and score > best_score:
            best, best_score = key, score
    if best is None:
        return None
    return f"{table}.{best.key}", f"{getattr(node, best.field) * 1000 + amount + 0.05:.1f} mm"


def _field(path: str) -> str:
    found = find_key(Job, path)
    assert found is not None
    return found[1].field
