"""Every paper of a job is written, and says what the job says."""

from __future__ import annotations

import pytest

from basswright.errors import InputError
from basswright.papers import write

PAPERS = ("quote", "fitting", "tuning", "customer", "acceptance")


def test_every_paper_is_written_in_every_format(folders):
    for folder in folders.values():
        names = {path.name for path in folder.iterdir()}
        assert {f"{paper}.{form}" for paper in PAPERS for form in ("pdf", "html")} <= names


def test_figures_lie_beside_the_papers(folders):
    drawn = {path.name for path in folders["vented"].glob("*.svg")}
    names = ("plan", "side", "rear", "wiring", "response", "impedance", "excursion")
    assert drawn == {f"figure-{name}.svg" for name in names}


def test_the_same_job_gives_the_same_bytes(contexts, folders, tmp_path):
    for path in write(contexts["vented"], tmp_path, formats=("pdf", "html")):
        assert path.read_bytes() == (folders["vented"] / path.name).read_bytes(), path.name


def test_an_unknown_format_is_refused_before_anything_is_written(contexts, tmp_path):
    with pytest.raises(InputError, match="formats"):
        write(contexts["vented"], tmp_path / "new", formats=("pdf", "doc"))
    assert not (tmp_path / "new").exists()
