"""The papers of three invented jobs, made once."""

from __future__ import annotations

from pathlib import Path

import pytest

from basswright.papers import PapersContext, context, write
from tests.papers.samples import SAMPLES, TODAY, Sample


def made(sample: Sample) -> PapersContext:
    """Return the context of a sample."""
    return context(
        sample.job,
        sample.option,
        sample.prediction,
        sample.drawings,
        today=TODAY,
        tuning=sample.tuning,
        extras=sample.extras,
    )


@pytest.fixture(scope="session")
def contexts() -> dict[str, PapersContext]:
    return {name: made(sample()) for name, sample in SAMPLES.items()}


@pytest.fixture(scope="session")
def folders(contexts, tmp_path_factory) -> dict[str, Path]:
    """The folder of each job with its papers in both formats."""
    places = {name: tmp_path_factory.mktemp("papers") / name for name in contexts}
    for name, place in places.items():
        write(contexts[name], place, formats=("pdf", "html"))
    return places
