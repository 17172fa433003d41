"""What other rooms say is said in the language and the units of the papers."""

from __future__ import annotations

import itertools

import pytest

from basswright import drive, jobs, space
from basswright.catalogue import demo
from basswright.choose import reasons
from basswright.papers.language import available, language
from basswright.papers.sayings import PREFIX, Sayings, templates
from basswright.papers.writing import Writing
from basswright.proof.faults import FAULTS
from basswright.proof.separate import READINGS
from basswright.records.car import HeadUnit
from basswright.records.verdict import Verdict
from basswright.space.orientations import orientations
from tests.papers.samples import goals, match, supply, vented
from tests.papers.spoken import texts_of
from tests.papers.test_writing import plain

#: Where texts come from that the papers show: module, functions and constants.
SOURCES = (
    ("basswright.choose.labour", "lines"),
    ("basswright.choose.reasons", "depth", "power", "tightest"),
    ("basswright.drive.built_in", "built_in_match"),
    ("basswright.drive.gain", "gain_range", "signal_cautions"),
    ("basswright.drive.match", "_COIL_CAUTION", "_JOIN", "_range_notes", "_record"),
    ("basswright.drive.match_table", "LIMITS"),
    ("basswright.drive.outputs", "_common_notes", "_ratings"),
    ("basswright.drive.power", "REASONS"),
    ("basswright.sound.cabin.choice", "estimated_cabin"),
    ("basswright.sound.cabin.measured", "measured_cabin"),
    ("basswright.sound.cabin.meshed", "meshed_cabin"),
    ("basswright.sound.cabin.rectangular", "RectangularCabin"),
    ("basswright.sound.cabin.zone", "PressureZone"),
    ("basswright.space.entering", "_turn", "way_in"),
    ("basswright.space.limits", "NO_ROOM", "TOGETHER"),
    ("basswright.space.openings", "WAYS"),
    ("basswright.space.orientations", "_FACING", "_POSTURE"),
    ("basswright.supply.cautions", "_AGM", "_ALTERNATOR", "_CLAD", "_LITHIUM", "_SECOND"),
    ("basswright.supply.cautions", "parked_cautions"),
    ("basswright.supply.charging", "SITUATIONS"),
    ("basswright.supply.feed", "FEED_LIMITS"),
    ("basswright.supply.fuses", "POSITION_TEXT"),
    ("basswright.supply.plan", "_notes"),
    ("basswright.supply.upgrades", "AVERAGE_LIMITS"),
    ("basswright.tuning.delay", "_best", "from_distances"),
    ("basswright.tuning.setting", "_delay"),
)

#: Parts of longer texts, which other tests here put together; and steps of setting up, which
#: the tuning sheet has in its own words.
PARTS = (
    "12, all that the box takes",
    "12, 12 dB below",
    "12 W at 12 ohm in total",
    "the tape readings give an outline (12)",
    "with the boot as a second space",
    "load space included",
    "Gain fully down",
    "too close to call",
)


def sayings(name: str = "en", *, inches: bool = False) -> Sayings:
    write = Writing(language=name, lengths="inch" if inches else "metric", currency="EUR")
    return Sayings(words=language(name), write=write)


def whole(text: str) -> bool:
    """Tell whether a text of the source is one by itself."""
    return text[:1].isalnum() and len(text.split()) > 2 and not text.startswith(PARTS)


@pytest.mark.parametrize(("module", "names"), [(module, names) for module, *names in SOURCES])
def test_every_text_of_the_source_is_known(module, names):
    texts = [each for each in texts_of(module, *names) if whole(each[0])]
    known = sayings()
    assert [each[0] for each in texts if not any(map(known.known, each))] == []


def test_every_text_that_is_known_is_known_in_every_language():
    keys = {template.key for template in templates()}
    assert len(keys) > 200
    for name in available():
        assert {key for key in language(name).phrases if key.startswith(PREFIX)} == keys


def test_no_text_is_left_in_english():
    english, german = language("en").phrases, language("de").phrases
    same = {t.key for t in templates() if english[t.key] == german[t.key]}
    # Pure figures and names, and what is written the same in both languages.
    assert same == {
        "said.cabin.model",
        "said.drawing.millimetres",
        "said.note.claim_load",
        "said.proof.likeliest",
        "said.proof.moved_way",
    }


def test_orientations_of_every_kind_of_box_are_known():
    known = sayings("de")
    for firing, wedge in itertools.product(("front", "up", "down"), (True, False)):
        for way in orientations(firing, wedge=wedge):
            assert known.known(way.name), way.name
    text = "on its back, cone up, turned a quarter"
    assert known.say(text) == "auf dem Rücken, Membran nach oben, eine Vierteldrehung gedreht"


@pytest.mark.parametrize("sample", jobs.sample_names())
def test_places_in_every_kind_of_car_are_known(sample):
    solid = space.solid(jobs.parse_job(jobs.sample_text(sample)).car.load_space)
    known = sayings("de")
    names = [*solid.names, *(keep_out.name for keep_out in solid.keep_outs)]
    assert [name for name in names if not known.known(name)] == []
    for box in demo.make().snapshot.enclosures[::67]:
        placed = space.place(solid, box, clearance_m=0.005)
        limits = [verdict.limit for verdict in placed.verdicts]
        for text in (placed.orientation, placed.way_in, placed.binding, *limits):
            assert known.known(text), text


def test_notes_and_cautions_of_every_amplifier_are_known():
    snapshot, known = demo.make().snapshot, sayings("de")
    units = (
        HeadUnit(signal="line", output_v=0.5),
        HeadUnit(signal="line", output_v=9.5),
        HeadUnit(signal="speaker", output_v=6.0),
    )
    told: set[str] = set()
    for place, amplifier in enumerate(snapshot.amplifiers):
        box = snapshot.enclosures[place % len(snapshot.enclosures)]
        found = drive.match(
            box if box.amplifier is None and box.load_ohm else vented().option.enclosure,
            amplifier,
            supply_voltage_v=13.8,
            head_unit=units[place % 3],
        )
        told |= {found.wiring, found.verdict.limit, *found.notes, *found.cautions}
    assert len(told) > 100
    assert [text for text in told if not known.known(text)] == []


def test_reasons_are_known_however_they_turn_out():
    known, wish = sayings("de"), vented().job.wish
    told = []
    for level, low in itertools.product((90.0, 130.0), (10.0, 30.0, 80.0)):
        changed = {"sure_level_db": level, "sure_low_limit_hz": low}
        one = goals(price=1.0).model_copy(update=changed)
        told += [reasons.loudness(one, wish), reasons.depth(one, wish, 15.8)]
    for below in (0.0, 3.0):
        part = match().model_copy(update={"below_top_db": below})
        told += [reasons.power(part), reasons.power(part, built_in=True)]
    for margin, certainty in ((12.0, "sure"), (-12.0, "sure"), (2.0, "too close to call")):
        verdict = Verdict(
            rule="space",
            passes=margin >= 0,
            margin=margin,
            unit="mm",
            limit="depth at the top",
            certainty=certainty,
        )
        told.append(reasons.tightest(verdict))
    told += [reasons.supply(supply()), reasons.supply(supply(strong=True))]
    assert [text for text in told if not known.known(text)] == []


def test_every_fault_and_what_to_read_next_is_known():
    known = sayings("de")
    told = [text for fault in FAULTS for text in (fault.name, fault.check_next)]
    told += [reading.what for reading in READINGS]
    assert [text for text in told if not known.known(text)] == []


@pytest.mark.parametrize(
    ("english", "german", "inches"),
    [
        (
            "surely 122.8 dB at the ear, 5.8 dB above the wish",
            "sicher 122,8 dB am Ohr, 5,8 dB über dem Wunsch",
            "surely 122.8 dB at the ear, 5.8 dB above the wish",
        ),
        (
            "56 mm to spare in depth between the seat back and the tailgate",
            "56 mm Luft in: Tiefe zwischen: Sitzlehne und Heckklappe",
            # 56 mm are 2.2047 in, 35.3 sixteenths
            "2 3/16 in to spare in depth between the seat back and the tailgate",
        ),
        (
            "450 W at 1 ohm in total, all that the box takes",
            "450 W an insgesamt 1 Ω, alles, was die Box verträgt",
            "450 W at 1 Ω in total, all that the box takes",
        ),
        (
            "41 A at full power through 10 mm2, no upgrade needed",
            "41 A bei voller Leistung durch 10 mm², nichts aufzurüsten",
            "41 A at full power through 10 mm², no upgrade needed",
        ),
        (
            "25 mm2: 3.12 mohm there and back at 80 C, may carry 1,100 A",
            "25 mm²: 3,12 mΩ hin und zurück bei 80 °C, trägt 1.100 A",
            "25 mm²: 3.12 mΩ there and back at 176 °F, may carry 1,100 A",
        ),
        (
            "depth first, tilted by 12°; turning it inside has to be tried by hand",
            "mit der Tiefe voran, um 12° gekippt; ob sie sich innen drehen lässt, "
            "von Hand probieren",
            "depth first, tilted by 12°; turning it inside has to be tried by hand",
        ),
        (
            "height under the Grandma's shelf",
            "Höhe unter: Grandma's shelf",
            "height under the Grandma's shelf",
        ),
        ("something nobody wrote", "something nobody wrote", "something nobody wrote"),
    ],
)
def test_figures_are_written_anew_in_the_language_and_units(english, german, inches):
    assert plain(sayings("de").say(english)) == german
    assert plain(sayings("en", inches=True).say(english)) == inches


def test_a_text_is_not_taken_for_another_with_unknown_words_in_it():
    known = sayings("de")
    assert known.known("on its hat, cone up") is None
    assert known.known("12 dB to spare in height") is None


def test_how_a_leaning_box_is_held_up_is_known_with_its_figures():
    leaning = "leaning 20° against the seat back: wedge or brace it, 120 mm at its front edge"
    raised = (
        "tipped 12° to lie along the rear wall: wedge or brace it, 127 mm at its rear edge "
        "and 3 mm at its front edge"
    )
    assert "120\N{NO-BREAK SPACE}mm" in (sayings("de").known(leaning) or "")
    assert "Kante hinten" in (sayings("de").known(raised) or "")
    assert "5 in" in (sayings("en", inches=True).known(raised) or "").replace(
        "\N{NO-BREAK SPACE}", " "
    )
