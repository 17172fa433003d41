"""The pages on tuning and proof: their examples run, and every fault is listed."""

import re
from pathlib import Path

import pytest

from basswright.proof.faults import FAULTS

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("page", ["tuning.md", "proof.md"])
def test_the_example_of_the_page_runs(page, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    text = (DOCS / page).read_text(encoding="utf-8")
    (block,) = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    exec(compile(block, page, "exec"), {})
    assert capsys.readouterr().out.strip()


def test_every_fault_is_documented_as_it_describes_itself():
    text = (DOCS / "proof.md").read_text(encoding="utf-8")
    for fault in FAULTS:
        assert f"| {fault.name} | {fault.description} |" in text
