"""Texts that a spreadsheet would take for formulas, made harmless and plain again."""

from __future__ import annotations

from typing import Final

#: Signs with which a spreadsheet takes a cell for a formula (OWASP, "CSV Injection").
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def harmless(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: with a quote put before it."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def plain_again(text: str) -> str:
    """Undo :func:`harmless` when reading a file that was written here."""
    return text[1:] if text[:1] == "'" and text[1:].startswith(_FORMULA) else text
