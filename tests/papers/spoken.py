"""Finds the texts that other rooms can say: read from their source, figures filled in."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from importlib import import_module
from itertools import product
from pathlib import Path

#: What may stand in a placeholder without a format, the likeliest first.
TRIALS = ("12", "12 mm", "12.5 dB", "upright", "seat back", "height", "single", "mm", "")
_MOST_TRIALS = 3


def texts_of(module: str, *names: str) -> Iterator[tuple[str, ...]]:
    """Give each text of some functions and constants, as its possible fillings."""
    source = Path(import_module(module).__file__ or "").read_text("utf-8")
    found = {name: node for node in ast.parse(source).body for name in _names(node)}
    for name in names:
        yield from _texts(found[name])


def _names(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        return [node.target.id]
    if isinstance(node, ast.Assign):
        return [target.id for target in node.targets if isinstance(target, ast.Name)]
    return []


def _texts(node: ast.AST) -> Iterator[tuple[str, ...]]:
    """Walk a node, leaving out docstrings, errors and keys."""
    if isinstance(node, ast.Raise | ast.Expr | ast.Compare | ast.Subscript):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
            yield from _texts(node.value)
        return
    if isinstance(node, ast.JoinedStr):
        yield tuple(_fillings(node))
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield (node.value,)
        return
    for child in ast.iter_child_nodes(node):
        yield from _texts(child)


def _fillings(node: ast.JoinedStr) -> Iterator[str]:
    parts: list[tuple[str, ...]] = []
    trials = 0
    for value in node.values:
        if isinstance(value, ast.Constant):
            parts.append((str(value.value),))
        elif isinstance(value, ast.FormattedValue) and value.format_spec is not None:
            share = ast.unparse(value.format_spec).rstrip("'\"").endswith("%")
            parts.append(("12%",) if share else ("12",))
        else:
            trials += 1
            parts.append(TRIALS if trials <= _MOST_TRIALS else TRIALS[:1])
    return ("".join(filling) for filling in product(*parts))
