"""The pages on catalogue and store are true: their Python runs, every rule is in them."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from basswright.catalogue.demo.sheets import TOLERANCE
from basswright.catalogue.plausibility import AMPLIFIER_RULES, BOX_RULES
from basswright.catalogue.sheets import files, words
from basswright.catalogue.sheets.targets import targets
from basswright.database.kinds import RECORDS

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("page", ["catalogue.md", "store.md"])
def test_the_python_of_the_page_runs(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    blocks = re.findall(r"```python\n(.*?)```", (DOCS / page).read_text(encoding="utf-8"), re.S)
    assert blocks
    namespace: dict[str, object] = {}
    for block in blocks:
        exec(compile(block, page, "exec"), namespace)
        assert capsys.readouterr().out.strip()
    for value in namespace.values():
        engine = getattr(value, "engine", value)
        if hasattr(engine, "dispose"):
            engine.dispose()


def test_every_rule_and_limit_is_in_the_page() -> None:
    text = (DOCS / "catalogue.md").read_text(encoding="utf-8")
    for rule in (*BOX_RULES, *AMPLIFIER_RULES):
        assert f"| {rule.name} |" in text
    for limit in (
        f"{files.MAX_BYTES / 1e6:.0f} MB",
        f"{files.MAX_ROWS:,}",
        f"{files.MAX_UNPACKED_BYTES / 1e6:.0f} MB",
        f"{TOLERANCE['sensitivity_db']} dB",
        f"{100 * TOLERANCE['power']:.0f} %",
    ):
        assert limit in text


def test_every_word_for_a_column_names_something_that_can_be_told() -> None:
    path = Path(words.__file__).with_name("words.toml")
    columns = tomllib.loads(path.read_text(encoding="utf-8"))["columns"]
    assert set(columns) == {"all", *RECORDS}
    for kind in RECORDS:
        known = targets(kind)
        assert set(columns[kind]) <= set(known), kind
        assert {"id", "maker", "model", "price"} <= set(known)
