"""Papers of real jobs say what the job says, in every unit and language."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from basswright import jobs, stages
from basswright.catalogue import demo
from basswright.jobs.editing import changed
from basswright.papers import Extras, Issue
from basswright.records.snapshot import Snapshot
from basswright.stages.papers import papers
from tests.papers.reading import bare, pdf_pages
from tests.papers.samples import TODAY

#: Sample, what is changed in it, decimal sign, and what a length of so many metres reads as.
JOBS = {
    "saloon": ({}, "."),
    "suv": (
        {
            "workshop.lengths": "inch",
            "workshop.paper": "us-letter",
            "workshop.currency": "USD",
            "wish.built_in_amplifier": "only",
        },
        ".",
    ),
    "estate": ({"workshop.language": "de", "wish.built_in_amplifier": "never"}, ","),
}


@pytest.fixture(scope="module")
def range_() -> Snapshot:
    """A small part of the demo range, with everything that a feed needs."""
    whole = demo.make().snapshot
    return replace(whole, enclosures=whole.enclosures[::13], amplifiers=whole.amplifiers[::13])


@pytest.fixture(scope="module")
def made(range_, tmp_path_factory):
    """Each job with its system and the text of its papers."""
    found = {}
    for name, (changes, _) in JOBS.items():
        job = changed(jobs.parse_job(jobs.sample_text(name)), changes)
        folder = tmp_path_factory.mktemp(name)
        papers(job, range_, "1", folder, issue=Issue(day=TODAY, extras=Extras()))
        system = stages.system(job, range_, "1")
        found[name] = (job, system.option, _texts(folder))
    return found


def _texts(folder: Path) -> dict[str, str]:
    return {path.stem: "".join(pdf_pages(path)) for path in folder.glob("*.pdf")}


def _money(amount: float, mark: str) -> str:
    text = f"{amount:,.2f}"
    return text if mark == "." else text.translate(str.maketrans(",.", ".,"))


def _inches(length_m: float) -> str:
    sixteenths = round(length_m / 0.0254 * 16)
    whole, rest = divmod(sixteenths, 16)
    part = math.gcd(rest, 16)
    return f"{whole or ''}{f'{rest // part}/{16 // part}' if rest else ''}in"


@pytest.mark.parametrize("name", tuple(JOBS))
def test_prices_and_promise_on_the_quote_are_those_of_the_option(made, name):
    job, option, texts = made[name]
    mark = JOBS[name][1]
    net = round(sum(line.total for line in option.lines), 2)
    total = net + round(net * job.workshop.tax_share, 2)
    for amount in (net, total, *(line.each for line in option.lines)):
        assert _money(amount, mark) in texts["quote"]
    assert f"{option.goals.sure_level_db:.1f}dB".replace(".", mark) in texts["quote"]
    assert bare(f"{option.enclosure.maker} {option.enclosure.model}") in texts["quote"]
    for line in option.lines:
        if line.kind == "part":
            assert bare(line.what) in texts["quote"]


@pytest.mark.parametrize("name", tuple(JOBS))
def test_sizes_and_wires_on_the_fitting_sheet_are_those_of_the_option(made, name):
    job, option, texts = made[name]
    shape, sheet = option.enclosure.shape, texts["fitting"]
    inch = job.workshop.lengths == "inch"
    lengths = [shape.width_m, shape.height_m, *(gap.gap_m for gap in option.placement.gaps)]
    for length_m in lengths:
        if length_m > 0.0005:
            assert (_inches(length_m) if inch else f"{length_m * 1000:,.0f}mm") in sheet
    route_m = option.supply.cable_length_m
    shown = f"{route_m / 0.3048:.1f}ft" if inch else f"{route_m:.1f}m"
    assert shown.replace(".", JOBS[name][1]) in sheet
    assert f"{option.supply.fuse.rating_a:.0f}A" in sheet


@pytest.mark.parametrize("name", tuple(JOBS))
def test_gain_and_supply_are_those_of_the_option(made, name):
    _, option, texts = made[name]
    mark = JOBS[name][1]
    drop = f"{option.supply.drop_v:.2f}V".replace(".", mark)
    assert drop in texts["acceptance"]
    peak = f"{option.supply.peak_current_a:.0f}A/{option.supply.average_current_a:.0f}A"
    assert peak in texts["acceptance"]
    gain = f"{option.match.gain_voltage_v:.2f}V".replace(".", mark)
    assert (gain in texts["tuning"]) == (option.amplifier is not None)


def test_other_systems_on_the_quote_fit_the_same_car(made, range_):
    job, option, texts = made["saloon"]
    found = stages.options(job, range_, most=4)
    for corner in ("cheapest", "loudest"):
        best = next(one for one in found.options if corner in one.named)
        assert bare(best.enclosure.model) in texts["quote"]
        if best.enclosure.id != option.enclosure.id:
            assert _money(best.goals.price, ".") in texts["quote"]
