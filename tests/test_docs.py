"""The documentation is true: its Python runs, and it names every rule and exit code."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from basswright.choose.rules import RULES
from basswright.cli import codes

DOCS = Path(__file__).parents[1] / "docs"


def test_the_python_of_the_docs_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """Every block of the page runs, in order, in one namespace, and prints an answer."""
    text = (DOCS / "python.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    assert len(blocks) == 5
    namespace: dict[str, object] = {}
    for block in blocks:
        exec(compile(block, "docs/python.md", "exec"), namespace)
        assert capsys.readouterr().out.strip()


def test_every_rule_is_documented() -> None:
    """The page on choosing names each rule by its title."""
    text = (DOCS / "choose.md").read_text(encoding="utf-8")
    for rule in RULES:
        assert rule.title in text


def test_every_exit_code_is_documented() -> None:
    """The page on the terminal has a row for each exit code."""
    text = (DOCS / "terminal.md").read_text(encoding="utf-8")
    for name, code in vars(codes).items():
        if name.isupper():
            assert f"| {code} |" in text


def test_every_page_is_in_the_navigation() -> None:
    """No page of the documentation is left out of the menu."""
    navigation = (DOCS.parent / "mkdocs.yml").read_text(encoding="utf-8")
    for page in DOCS.rglob("*.md"):
        assert str(page.relative_to(DOCS)) in navigation
