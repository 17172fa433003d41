"""Every phrase is in the language file, every phrase there is used."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from basswright.errors import InputError, NotFoundError
from basswright.papers import context, papers
from basswright.papers.language import Language, available, language, placeholders
from basswright.papers.sayings import PREFIX
from basswright.papers.typesetting import pdf
from tests.papers.reading import words_of
from tests.papers.samples import SAMPLES, TODAY, vented
from tests.papers.test_variants import variants
from tests.papers.test_writing import plain


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
    for told in (*contexts.values(), *variants()):
        papers(told)
    for make in SAMPLES.values():
        sample = make()
        context(sample.job, sample.option, sample.prediction, {}, today=TODAY)
    own = {key for key in language("en").phrases if not key.startswith(PREFIX)}
    assert own - used - {"running.page_of"} == set()


@pytest.mark.parametrize("name", available())
def test_every_language_has_the_same_phrases_and_placeholders(name):
    english, other = language("en").phrases, language(name).phrases
    assert set(english) == set(other)
    for key, phrase in english.items():
        assert placeholders(phrase) == placeholders(other[key]), key


def test_a_german_job_is_written_in_german_and_within_its_pages():
    sample = vented()
    workshop = sample.job.workshop.model_copy(update={"language": "de"})
    job = sample.job.model_copy(update={"workshop": workshop})
    told = context(job, sample.option, sample.prediction, sample.drawings, today=TODAY)
    quote = papers(told)[0]
    text = plain(" ".join(words_of(quote)))
    assert quote.title == "Angebot"
    assert "1.213,32 €" in text
    assert "116,2 dB" in text
    assert "8. April 2026" in text
    drawn = {figure.name: figure.svg for figure in told.figures}
    assert all(pdf(paper, told.head, drawn).startswith(b"%PDF") for paper in papers(told))


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


@pytest.mark.parametrize("name", ["fr-CH", "xx", "de-QQQ", "en US"])
def test_a_language_that_there_is_no_file_for_is_refused_with_those_there_are(name):
    sample = vented()
    workshop = sample.job.workshop.model_copy(update={"language": name})
    job = sample.job.model_copy(update={"workshop": workshop})
    with pytest.raises(InputError, match=r"workshop\.language.*de, en"):
        context(job, sample.option, sample.prediction, {}, today=TODAY)


def test_a_region_is_kept_where_its_language_is_spoken(contexts):
    assert papers(contexts["built-in"])[0].language == "en-US"
