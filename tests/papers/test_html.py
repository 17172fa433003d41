"""The papers as pages: complete, harmless, alone."""

from __future__ import annotations

import re
from base64 import b64decode

import pytest

from basswright.papers import papers
from basswright.papers.pages import html
from tests.papers.reading import bare, html_text, words_of
from tests.papers.samples import SAMPLES

NAMES = ("quote", "fitting", "tuning", "customer", "acceptance")


@pytest.mark.parametrize("job", tuple(SAMPLES))
def test_no_word_is_lost(contexts, folders, job):
    for paper in papers(contexts[job]):
        text = html_text(folders[job] / f"{paper.name}.html")
        assert [word for word in words_of(paper) if bare(word) not in text] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_page_needs_nothing_from_elsewhere(folders, name):
    page = (folders["vented"] / f"{name}.html").read_text("utf-8")
    assert "<script" not in page
    assert re.findall(r'(?:src|href)="(?!data:)', page) == []


def test_pictures_are_images_with_words(contexts, folders):
    page = (folders["vented"] / "fitting.html").read_text("utf-8")
    shown = re.findall(r'<img src="data:image/svg\+xml;base64,([^"]+)" alt="([^"]+)"', page)
    drawn = {figure.svg for figure in contexts["vented"].figures}
    assert len(shown) == 4
    assert {b64decode(data).decode() for data, _ in shown} <= drawn


def test_names_cannot_bring_in_markup(contexts):
    context = contexts["vented"]
    head = context.head.model_copy(
        update={"customer": "<script>alert(1)</script>", "workshop": '"><img src=x>'}
    )
    hostile = context.model_copy(update={"head": head})
    drawn = {figure.name: figure.svg for figure in context.figures}
    for paper in papers(hostile):
        page = html(paper, head, drawn)
        assert "<script" not in page
        assert "<img src=x" not in page


def test_the_sheet_of_paper_is_the_workshops(folders):
    assert "size: A4" in (folders["vented"] / "quote.html").read_text("utf-8")
    assert "size: letter" in (folders["built-in"] / "quote.html").read_text("utf-8")
