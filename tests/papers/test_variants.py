"""Other turns that a job can take: each is said in the right words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from basswright.papers import Measured, PapersContext, papers
from basswright.papers.facts import Doubt
from basswright.papers.sheets.customer import reach
from basswright.papers.sheets.tuning import tone_voltage_v
from basswright.records.placement import Gap
from basswright.records.shapes import Cylinder, LShape, Truncated
from tests.papers.conftest import made
from tests.papers.reading import words_of
from tests.papers.samples import LOGO, vented


def changed(**parts: dict[str, object]) -> PapersContext:
    """Return the plain sample with some facts changed."""
    told = made(vented())
    update = {name: getattr(told, name).model_copy(update=new) for name, new in parts.items()}
    return told.model_copy(update=update)


def words(told: PapersContext) -> str:
    """Return every word of every paper."""
    return "\n".join(word for paper in papers(told) for word in words_of(paper))


SHAPES = (
    Truncated(width_m=0.6, height_m=0.4, depth_m=0.4, bevel_height_m=0.2, bevel_depth_m=0.1),
    LShape(width_m=0.6, height_m=0.4, depth_m=0.4, notch_height_m=0.2, notch_depth_m=0.1),
    Cylinder(diameter_m=0.5, length_m=0.2),
)

LEANING = "leaning 20° against the seat back: wedge or brace it, 120 mm at its front edge"


def variants() -> list[PapersContext]:
    """Jobs that between them need the phrases that the three samples do not."""
    limits = (
        "amplifier voltage",
        "amplifier current",
        "coil heat",
        "cone excursion",
        "port air speed",
        "radiator excursion",
    )
    bands = made(vented()).promise.bands
    limited = tuple(
        band.model_copy(update={"limit": limit}) for band, limit in zip(bands, limits, strict=False)
    )
    return [
        changed(measured={"kept": True}),
        changed(fitting={"support": LEANING, "amplifier_place": "on the seat back"}),
        changed(fitting={"amplifier_place": None}),
        changed(quote={"budget": 1213.32}),
        changed(system={"box_kind": "bandpass"}, tuning={"polarity": "normal"}),
        changed(promise={"bands": limited}),
        *(
            changed(promise={"sure_low_limit_hz": hertz})
            for hertz in (15.0, 25.0, 30.0, 60.0, 80.0)
        ),
        changed(promise={"sure_level_db": 115.2}),
        made(replace(vented(), drawings=dict.fromkeys(("plan", "side", "rear"), LOGO))),
        *(changed(system={"zone": zone}) for zone in ("too little", "above, gain set", "unsafe")),
        changed(tuning={"front_high_pass_hz": None, "infrasonic_hz": None}),
        *(changed(system={"shape": shape}) for shape in SHAPES),
        changed(fitting={"gaps": (Gap(side="below", gap_m=0.01, surface="floor"),)}),
        *(
            changed(
                fitting={"doubts": (Doubt(rule="feed", limit="height", margin=1.0, unit=unit),)}
            )
            for unit in ("dB", "A")
        ),
        changed(fitting={"doubts": (Doubt(rule="feed", limit="feed", margin=1.0, unit="A"),)}),
        changed(head={"lengths": "inch"}),
        changed(promise={"bands": tuple(b.model_copy(update={"high_db": 140.0}) for b in limited)}),
        changed(
            fitting={
                "runs": tuple(
                    run.model_copy(update={"from_terminal": "76"})
                    for run in made(vented()).fitting.runs
                )
            }
        ),
    ]


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"measured": {"kept": True}}, "The promise was kept."),
        ({"measured": {"kept": False}}, "The promise was not kept; see remarks."),
        ({"measured": {"level_db": 116.2}}, "yes"),
        ({"quote": {"budget": 1213.32}}, "The total meets the budget of €1,213.32."),
        ({"promise": {"sure_level_db": 115.2}}, "It plays as loud as you asked for."),
        ({"tuning": {"polarity": "normal"}}, "normal"),
        ({"tuning": {"infrasonic_hz": None}}, "Infrasonic filter\noff\n"),
        ({"tuning": {"bands": ()}}, "do not boost below 29"),
        ({"promise": {"sure_low_limit_hz": 15.0}}, "at most 15 Hz"),
        ({"promise": {"sure_low_limit_hz": 80.0}}, "not held"),
        ({"head": {"workshop": ""}}, "Questions? Name job hatch-0412."),
    ],
)
def test_the_turn_is_said(facts, said):
    assert said in words(changed(**facts)).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("low_limit_hz", "instrument"),
    [(16.0, "organ"), (27.4, "piano"), (30.8, "five"), (41.1, "four"), (41.3, "drum")],
)
def test_low_limits_are_told_by_the_notes_that_they_reach(low_limit_hz, instrument):
    """ISO 16, A4 = 440 Hz, equal steps: C0 16.35, A0 27.5, B0 30.87, E1 41.2 Hz."""
    assert reach(low_limit_hz) == instrument


@pytest.mark.parametrize(
    ("steps_from_a4", "instrument"), [(-57, "organ"), (-48, "piano"), (-46, "five"), (-41, "four")]
)
def test_the_notes_themselves_are_reached(steps_from_a4, instrument):
    note_hz = 440 * 2 ** (steps_from_a4 / 12)
    assert reach(note_hz * 0.9995) == instrument


def test_a_tone_ten_decibels_down_shows_a_third_of_the_voltage():
    """10^(-10/20) = 0.3162; 500 W into 2 ohm are 31.62 V."""
    assert tone_voltage_v((500 * 2) ** 0.5, -10.0) == pytest.approx(10.0, abs=0.001)


def test_measured_results_take_the_place_of_the_blanks():
    empty = Measured()
    assert all(value in (None, ()) for value in empty.model_dump().values())


def test_a_leaning_box_says_how_it_is_held_up_and_where_the_amplifier_goes():
    told = words(changed(fitting={"support": LEANING, "amplifier_place": "on the seat back"}))
    assert "wedge or brace it" in told
    assert "on the seat back" in told
    assert "find one before ordering" in words(changed(fitting={"amplifier_place": None}))
