"""What the catalogue knows already: a sheet may tell less of it, and under another number."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from basswright.catalogue.contents import name_key

#: Fields that a sheet replaces as a whole, never by halves.
_WHOLE: Final = ("ratings", "remarks", "origins")


@dataclass(frozen=True, kw_only=True)
class Known:
    """Things of one kind that are known: contents by id, and ids by maker and model."""

    contents: Mapping[str, str] = field(default_factory=dict)
    ids_by_name: Mapping[str, str] = field(default_factory=dict)

    def id_of(self, values: Mapping[str, Any]) -> str | None:
        """Return under which id a row's thing is known, or None."""
        given = values.get("id")
        if given in self.contents:
            return str(given)
        maker, model = values.get("maker"), values.get("model")
        if not isinstance(maker, str) or not isinstance(model, str):
            return None
        return self.ids_by_name.get(name_key(maker, model))

    def completed(self, id_: str, told: Mapping[str, Any]) -> dict[str, Any]:
        """Return the known thing with what a row tells put in its place."""
        return _merged(_in_tuples(json.loads(self.contents[id_])), told)


def _merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(old)
    for name, value in new.items():
        if name == "shape":
            merged[name] = _shape(old.get(name, {}), value)
        elif isinstance(value, Mapping) and name not in _WHOLE:
            merged[name] = _merged(old.get(name) or {}, value)
        else:
            merged[name] = value
    return merged


def _shape(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """Merge a shape; depths of one form drop those of the other."""
    depths = [name for name in new if name.startswith("depth")]
    kept = {name: v for name, v in old.items() if not (depths and name.startswith("depth"))}
    del kept["form"]
    return {**kept, **new}


def _in_tuples(value: Any) -> Any:
    """Turn lists into tuples, as records hold them."""
    if isinstance(value, list):
        return tuple(_in_tuples(part) for part in value)
    if isinstance(value, dict):
        return {name: _in_tuples(part) for name, part in value.items()}
    return value
