"""The example on the package's page runs as it is printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "supply.md"


def test_the_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """Every code block, and it prints something."""
    blocks = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.S)
    assert blocks
    for block in blocks:
        exec(compile(block, str(PAGE), "exec"), {})
    assert capsys.readouterr().out.strip()
