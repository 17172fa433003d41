"""What other rooms say, in the language and the units of the papers.

Reasons, cautions, notes and names come as English texts with figures in them. The English
language file holds each of them as a template, ``surely {level:dB} at the ear``; another
language has the same key with its own words. A text is matched against the templates, its
figures are written anew (comma or point, millimetres or inches), and texts inside it are
said in turn. A text that no template knows is printed as it came.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from string import Formatter
from typing import Final

from basswright.papers.language import Language, language
from basswright.papers.writing import Writing

#: Where the templates stand in a language file.
PREFIX: Final = "said."

_NUMBER: Final = r"[-+\u2212]?\d[\d,]*(?:\.\d+)?"
#: Kinds of placeholder that hold a figure, with the unit as the rooms write it.
_UNITS: Final = {
    "n": "",
    "dB": " dB",
    "Hz": " Hz",
    "W": " W",
    "A": " A",
    "V": " V",
    "ohm": " ohm",
    "mohm": " mohm",
    "mm": " mm",
    "cm": " cm",
    "m": " m",
    "L": " L",
    "h": " h",
    "Ah": " Ah",
    "%": " ?%",
    "C": " C",
    "deg": "\N{DEGREE SIGN}",
}
#: Kinds that hold a text: a name as it is, a text that must be known, one that may be.
_TEXTS: Final = ("name", "said", "part")


@dataclass(frozen=True, kw_only=True)
class Template:
    """One text of another room: its key, how it is recognised, what stands in it."""

    key: str
    pattern: re.Pattern[str]
    kinds: Mapping[str, str]
    literal: int


@dataclass(frozen=True, kw_only=True)
class Sayings:
    """Says texts of other rooms in one language and one way of writing figures."""

    words: Language
    write: Writing

    def say(self, text: str) -> str:
        """Return a text in the language of the papers; as it came where none knows it."""
        return self.known(text) or text

    def known(self, text: str) -> str | None:
        """Return a text in the language of the papers, or None where none knows it."""
        for template in templates():
            found = template.pattern.fullmatch(text)
            if found is None:
                continue
            values = self._values(template, found)
            if values is not None:
                return self.words.phrases[template.key].format(**values)
        return None

    def _values(self, template: Template, found: re.Match[str]) -> dict[str, str] | None:
        values = {}
        for name, kind in template.kinds.items():
            said = self._value(found[name], kind)
            if said is None:
                return None
            values[name] = said
        return values

    def _value(self, text: str, kind: str) -> str | None:
        if kind == "name":
            return text.replace("mm2", "mm\N{SUPERSCRIPT TWO}")
        if kind == "said":
            return self.known(text)
        if kind == "part":
            return self.say(text)
        return self.figure(text, kind)

    def figure(self, text: str, kind: str) -> str:
        """Return a figure with its unit, written for the papers."""
        number = re.match(_NUMBER, text)
        bare = number[0].replace(",", "").replace("\N{MINUS SIGN}", "-") if number else "0"
        digits = len(bare.partition(".")[2])
        sign = "+" if bare.startswith("+") else ""
        return sign + self._written(float(bare), kind, digits)

    def _written(self, value: float, kind: str, digits: int) -> str:
        write = self.write
        if write.lengths == "inch" and kind in _IN_INCHES:
            return _IN_INCHES[kind](write, value)
        if kind == "n":
            return write.number(value, digits)
        unit = {"ohm": "Ω", "mohm": "mΩ", "C": "°C", "deg": "°"}.get(kind, kind)
        shown = write.quantity(value, unit, digits)
        return shown.replace("\N{NO-BREAK SPACE}°", "°") if kind == "deg" else shown


_IN_INCHES: Final[dict[str, Callable[[Writing, float], str]]] = {
    "mm": lambda write, value: write.length(value / 1000),
    "cm": lambda write, value: write.length(value / 100),
    "m": lambda write, value: write.distance(value),
    "L": lambda write, value: write.volume(value / 1000),
    "C": lambda write, value: write.quantity(value * 1.8 + 32, "°F"),
}


@cache
def templates() -> tuple[Template, ...]:
    """Return every template, the ones with most words of their own first."""
    english = language("en")
    found = [
        _template(key, english.templates[key]) for key in english.phrases if key.startswith(PREFIX)
    ]
    return tuple(sorted(found, key=lambda template: -template.literal))


def _template(key: str, text: str) -> Template:
    pattern, kinds, literal = "", {}, 0
    for words, name, kind, _ in Formatter().parse(text):
        pattern += re.escape(words)
        literal += len(words)
        if name:
            kinds[name] = kind or "name"
            pattern += f"(?P<{name}>{_pattern_of(kind or 'name')})"
    return Template(key=key, pattern=re.compile(pattern), kinds=kinds, literal=literal)


def _pattern_of(kind: str) -> str:
    return ".+?" if kind in _TEXTS else _NUMBER + _UNITS[kind]
