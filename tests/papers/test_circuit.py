"""The circuit diagram: every size, length and terminal on it, nothing across a text."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from basswright.papers import PapersContext
from basswright.papers.circuit import OUTPUTS
from basswright.papers.wires import cable_size, gauge_area_mm2, gauge_of_at_least
from basswright.records.job import Workshop
from tests.papers.conftest import made
from tests.papers.drawn import clashes, outside, words_of_svg
from tests.papers.samples import SAMPLES, Sample, supply, vented
from tests.papers.test_writing import plain

FAMILIES = ("blade", "maxi-blade", "strip-sf30", "strip-sf51", "high-current")


def with_workshop(sample: Sample, **settings: object) -> Sample:
    workshop = Workshop.model_validate({**sample.job.workshop.model_dump(), **settings})
    return replace(sample, job=sample.job.model_copy(update={"workshop": workshop}))


def with_option(sample: Sample, **parts: object) -> Sample:
    return replace(sample, option=sample.option.model_copy(update=parts))


def second_battery(sample: Sample) -> Sample:
    plan = supply(strong=True)
    battery = plan.battery.model_copy(update={"role": "second"})
    return with_option(sample, supply=plan.model_copy(update={"battery": battery}))


def speaker_level(sample: Sample) -> Sample:
    unit = sample.job.car.head_unit.model_copy(update={"signal": "speaker"})
    car = sample.job.car.model_copy(update={"head_unit": unit})
    return replace(sample, job=sample.job.model_copy(update={"car": car}))


def circuits() -> list[Sample]:
    """Systems that between them need every part of the diagram."""
    plain_one = vented()
    match, plan = plain_one.option.match, plain_one.option.supply
    modes = [
        with_option(plain_one, match=match.model_copy(update={"mode": mode})) for mode in OUTPUTS
    ]
    fused = [
        with_option(
            plain_one,
            supply=plan.model_copy(
                update={"fuse": plan.fuse.model_copy(update={"family": family})}
            ),
        )
        for family in FAMILIES
    ]
    others = [second_battery(plain_one), speaker_level(plain_one)]
    return [*(make() for make in SAMPLES.values()), *modes, *fused, *others]


def drawn(told: PapersContext) -> str:
    return next(figure.svg for figure in told.figures if figure.name == "wiring")


@pytest.mark.parametrize(
    ("language", "lengths"), list(itertools.product(("en", "de"), ("metric", "inch")))
)
def test_no_text_of_any_circuit_is_crossed_or_cut(language, lengths):
    for sample in circuits():
        svg = drawn(made(with_workshop(sample, language=language, lengths=lengths)))
        assert clashes(svg) == []
        assert outside(svg) == []


def test_the_circuit_shows_what_the_table_of_wires_shows():
    told = made(vented())
    texts = [plain(words.text) for words in words_of_svg(drawn(told))]
    for text in ("25 mm² · 5.4 m", "25 mm² · 0.45 m", "80 A, strip SF30", "30", "31", "75", "76"):
        assert text in texts
    assert any(text.startswith("at most 450 mm") for text in texts)


def test_terminals_that_stay_free_are_shown_and_the_used_ones_joined():
    match = vented().option.match.model_copy(update={"mode": "bridged"})
    svg = drawn(made(with_option(vented(), match=match)))
    texts = [words.text for words in words_of_svg(svg)]
    assert {"1 +", "1 −", "2 +", "2 −"} <= set(texts)


def test_a_second_battery_has_a_fuse_at_each_end():
    texts = [words.text for words in words_of_svg(drawn(made(second_battery(vented()))))]
    assert "F1" in texts
    assert any(plain(text).startswith("F2 80 A") for text in texts)


#: Areas in ASTM B258, as handbooks print them [mm2].
GAUGES = (("4/0", 107.2), ("2/0", 67.4), ("1/0", 53.5), ("1", 42.4), ("4", 21.15), ("8", 8.37))


@pytest.mark.parametrize(("gauge", "area_mm2"), GAUGES)
def test_gauges_have_the_area_of_the_standard(gauge, area_mm2):
    assert gauge_area_mm2(gauge) == pytest.approx(area_mm2, rel=2e-3)


@pytest.mark.parametrize(
    ("area_mm2", "gauge"), [(107.0, "4/0"), (25.0, "3"), (21.15, "4"), (16.0, "5"), (200.0, "")]
)
def test_the_other_series_is_never_thinner(area_mm2, gauge):
    assert gauge_of_at_least(area_mm2) == gauge


@pytest.mark.parametrize(
    ("strong", "lengths", "size"),
    [
        (False, "metric", "25 mm²"),
        (False, "inch", "25 mm² (3 AWG)"),
        (True, "metric", "1/0 AWG (53 mm²)"),
        (True, "inch", "1/0 AWG"),
    ],
)
def test_a_size_stands_in_the_series_that_the_workshop_thinks_in(strong, lengths, size):
    assert cable_size(supply(strong=strong), lengths=lengths) == size
