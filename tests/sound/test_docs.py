"""The page on sound is true: its Python runs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "sound.md"


def test_the_python_of_the_page_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The example runs as printed and gives an answer."""
    (block,) = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    exec(compile(block, "docs/sound.md", "exec"), {})
    assert "LowLimit" in capsys.readouterr().out
