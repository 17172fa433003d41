"""Every phrase is in the language file, every phrase there is used."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from basswright.errors import NotFoundError
from basswright.papers import papers
from basswright.papers.language import Language, available, language, placeholders


@pytest.fixture
def used(monkeypatch):
    """Keys that were asked for."""
    keys: set[str] = set()
    say = Language.say

    def noted(self, key, **values):
        keys.add(key)
        return say(self, key, **values)

    monkeypatch.setattr(Language, "say", noted)
    return keys


def test_every_phrase_of_the_file_is_used(contexts, used):
    from basswright.papers.collecting import context
    from tests.papers.samples import SAMPLES, TODAY
    from tests.papers.test_variants import variants

    for told in (*contexts.values(), *variants()):
        papers(told)
    for make in SAMPLES.values():
        sample = make()
        context(sample.job, sample.option, sample.prediction, {}, today=TODAY)
    assert set(language("en").phrases) - used - {"running.page_of"} == set()


@pytest.mark.parametrize("name", available())
def test_every_language_has_the_same_phrases_and_placeholders(name):
    english, other = language("en").phrases, language(name).phrases
    assert set(english) == set(other)
    for key, phrase in english.items():
        assert placeholders(phrase) == placeholders(other[key]), key


def test_templates_hold_no_words_of_their_own():
    folder = files("basswright.papers") / "templates"
    page = (folder / "paper.html").read_text("utf-8")
    page = re.sub(r"<style>.*?</style>|\{%.*?%\}|\{\{.*?\}\}|<[^>]+>", " ", page, flags=re.DOTALL)
    assert re.findall(r"[A-Za-z]{3,}", page) == []
    for name in ("paper.typ", "blocks.typ"):
        code = re.sub(r"//.*", "", (folder / name).read_text("utf-8"))
        assert re.findall(r"\[[^\]]*[A-Za-z]{3,}[^\]]*\]", code) == [], name


def test_a_phrase_that_is_not_there_is_named():
    with pytest.raises(NotFoundError, match=r"quote\.nothing"):
        language("en").say("quote.nothing")
    with pytest.raises(NotFoundError, match=r"quote\.nothing"):
        language("en").all("quote.nothing")


def test_a_region_takes_the_phrases_of_its_language():
    assert language("en-US").phrases == language("en").phrases


def test_a_language_without_a_file_is_written_in_english():
    assert language("fr-CH").name == "en"
