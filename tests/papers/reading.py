"""Reads papers back: text of a PDF, text of a page, every word of the blocks."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import fields
from html.parser import HTMLParser
from pathlib import Path

from pypdf import PdfReader

from basswright.papers.blocks import Beside, Block, Figure, Paper


def bare(text: str) -> str:
    """Return a text without spaces and line breaks, which setting may move."""
    return re.sub(r"[\s\u200b\u00ad]+", "", unicodedata.normalize("NFKC", text))


def pdf_pages(path: Path) -> list[str]:
    """Return the bare text of each page."""
    return [bare(page.extract_text()) for page in PdfReader(path).pages]


def body(page: str, running: tuple[str, ...]) -> str:
    """Return the text of a page without what stands on every page."""
    for part in running:
        page = page.replace(part, "")
    return page


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.hidden = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden = tag == "style"

    def handle_endtag(self, tag: str) -> None:
        self.hidden = False

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.parts.append(data)


def html_text(path: Path) -> str:
    """Return the bare text of a page."""
    parser = _Text()
    parser.feed(path.read_text("utf-8"))
    return bare("".join(parser.parts))


def words_of(paper: Paper) -> list[str]:
    """Return every text that the blocks of a paper hold."""
    return [paper.title, paper.subtitle, *(word for block in paper.blocks for word in _of(block))]


def _of(block: Block) -> list[str]:
    found: list[str] = []
    if isinstance(block, Beside):
        return [word for one in (*block.left, *block.right) for word in _of(one)]
    for field in fields(block):
        if field.name not in ("kind", "level", "align"):
            found += _texts(getattr(block, field.name))
    return found


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value] if value.strip() else []
    if isinstance(value, Figure):
        return [value.caption]
    if isinstance(value, tuple):
        return [text for entry in value for text in _texts(entry)]
    if hasattr(value, "head"):
        return [value.head]
    return []
