"""The job from a terminal: what it prints, how it leaves, what it says of bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from basswright import jobs
from basswright.records.options import Options
from basswright.records.tradeoffs import Tradeoffs
from tests.cli.conftest import Run


def test_options_lists_systems_with_reasons_and_what_was_left_out(
    run: Run, job: Path, store: str
) -> None:
    """The table names systems, the deciding facts and the rules."""
    ran = run("options", job, "--store", store)
    assert ran.code == 0
    assert "surely" in ran.out
    assert "mm to spare" in ran.out
    assert "What was left out" in ran.out
    assert "within the budget" in ran.out


def test_options_json_follows_the_documented_schema(run: Run, job: Path, store: str) -> None:
    """The JSON is read back by the record that documents it, and is in order."""
    ran = run("options", job, "--json", "--most", 5, "--store", store)
    found = Options.model_validate_json(ran.out)
    assert found.wish_met
    assert len(found.options) >= 5
    scores = [option.score for option in found.options[:5]]
    assert scores == sorted(scores, reverse=True)
    assert all(option.goals.price <= 5000 for option in found.options)


def test_a_wish_that_nothing_meets_shows_the_nearest_and_leaves_with_three(
    run: Run, job: Path, store: str
) -> None:
    """Never an empty screen: the nearest systems, and by how much they fall short."""
    text = job.read_text(encoding="utf-8").replace("budget = ", "budget = 150 # ")
    job.write_text(text, encoding="utf-8")
    ran = run("options", job, "--json", "--store", store)
    assert ran.code == 3
    found = Options.model_validate_json(ran.out)
    assert not found.wish_met
    assert found.options
    short = {near.rule: near.short_by for near in found.nearest}
    assert short["budget"] == pytest.approx(found.options[0].goals.price - 150)


def test_tradeoffs_tell_sentences_and_the_figures_behind_them(
    run: Run, job: Path, store: str
) -> None:
    """As text: what half the power costs; as JSON: the documented record."""
    ran = run("tradeoffs", job, "--store", store)
    assert ran.code == 0
    assert "Half the power" in ran.out
    assert "Kind of box" in ran.out
    found = Tradeoffs.model_validate_json(run("tradeoffs", job, 2, "--json", "--store", store).out)
    assert [step.share for step in found.power] == [0.25, 0.5, 1, 2, 4]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('width_floor = "1010 mm"', 'width_floor = "1010"', ("width_floor", "unit", "1010")),
        ('width_floor = "1010 mm"', 'width_floor = "1010 parsec"', ("width_floor", "parsec")),
        ('width_floor = "1010 mm"', 'width_floor = "-3 mm"', ("width_floor", "more than 0 mm")),
        ('width_floor = "1010 mm"', "", ("width_floor", "missing")),
        ('width_floor = "1010 mm"', 'width_flor = "1010 mm"', ("width_flor", "width_floor")),
        ("budget = ", "budget = nan # ", ("budget",)),
    ],
)
def test_bad_readings_are_told_with_their_place(
    run: Run, job: Path, store: str, old: str, new: str, told: tuple[str, ...]
) -> None:
    """One clear message names the field, what was read, what is allowed; code 2."""
    text = job.read_text(encoding="utf-8")
    assert old in text
    job.write_text(text.replace(old, new), encoding="utf-8")
    ran = run("options", job, "--store", store)
    assert ran.code == 2
    assert "Traceback" not in ran.err
    for part in told:
        assert part in ran.err
    as_json = json.loads(run("options", job, "--json", "--store", store).err)
    assert as_json["error"] in ("InputErrors", "InputError", "QuantityError")


def test_a_missing_file_and_an_empty_store_are_told(run: Run, job: Path, tmp_path: Path) -> None:
    """No such job file: 2; a store without a catalogue: 4, with what to do."""
    assert run("options", tmp_path / "none.toml").code == 2
    ran = run("options", job, "--store", f"sqlite:///{tmp_path / 'empty.sqlite'}")
    assert ran.code == 4
    assert "make-demo" in ran.err


def test_an_option_that_does_not_exist_is_told(run: Run, job: Path, store: str) -> None:
    """An unknown option leaves with 4 and names what there is."""
    ran = run("system", job, "no-such-option", "--store", store)
    assert ran.code == 4
    assert "1 to" in ran.err


def test_system_shows_one_option_in_depth(run: Run, job: Path, store: str) -> None:
    """Number and id lead to the same system; the price is the sum of its lines and tax."""
    by_number = json.loads(run("system", job, 1, "--json", "--store", store).out)
    name = by_number["option"]["id"]
    by_id = json.loads(run("system", job, name, "--json", "--store", store).out)
    assert by_id["option"]["enclosure"] == by_number["option"]["enclosure"]
    lines = by_number["option"]["lines"]
    total = sum(line["count"] * line["each"] for line in lines) * 1.2
    assert by_number["option"]["goals"]["price"] == pytest.approx(total, abs=0.01)
    shown = run("system", job, 1, "--store", store).out
    assert "voltage drop" in shown
    assert "in all, tax included" in shown


def test_papers_are_written(run: Run, job: Path, store: str, tmp_path: Path) -> None:
    """Quote and fitting sheet come out as PDF, with drawings as SVG."""
    ran = run("papers", job, 1, "--out", tmp_path / "papers", "--store", store)
    assert ran.code == 0
    names = [Path(line).name for line in ran.out.split()]
    assert any(name.endswith(".pdf") and "quote" in name for name in names)
    assert any(name.endswith(".pdf") and "fitting" in name for name in names)
    for line in ran.out.split():
        assert Path(line).stat().st_size > 500


def test_the_quote_names_other_systems_and_carries_the_workshops_own_logo(
    run: Run, job: Path, store: str, tmp_path: Path
) -> None:
    """Other systems with what they give, and what was kept for every paper."""
    logo = tmp_path / "logo.svg"
    logo.write_text('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 1"/>')
    own = f"sqlite:///{tmp_path / 'own' / 'shop.sqlite'}"
    ran = run("workshop", "set", "name=Kept Shed", "valid_days=5", f"logo={logo}", "--store", own)
    assert (ran.code, "logo: kept" in ran.out) == (0, True)
    ran = run("job", "new", tmp_path / "new.toml", "--store", own)
    assert 'name = "Kept Shed"' in (tmp_path / "new.toml").read_text("utf-8")
    out = tmp_path / "papers"
    ran = run("papers", job, 1, "--html", "--logo", logo, "--out", out, "--store", store)
    assert ran.code == 0
    page = (out / "quote.html").read_text("utf-8")
    assert page.count("Other systems") == 1
    assert "the cheapest" in page
    assert "<img src=" in page.partition("</header>")[0]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--language", "fr"), "allowed: de, en"),
        (("--logo", "none.svg"), "none.svg, logo: cannot be read"),
    ],
)
def test_papers_that_cannot_be_written_are_refused_before_anything_is_weighed(
    run: Run, job: Path, tmp_path: Path, arguments: tuple[str, str], told: str
) -> None:
    """An unknown language or logo is told at once; an empty store is not even looked at."""
    ran = run("papers", job, 1, *arguments, "--store", f"sqlite:///{tmp_path / 'empty.sqlite'}")
    assert (ran.code, told in ran.err) == (2, True)


def test_why_a_named_box_is_not_there(run: Run, job: Path, store: str) -> None:
    """A box is answered by the rules that it fails; an unknown one by names that are near."""
    counted = Options.model_validate_json(
        run("options", job, "--json", "--most", 200, "--store", store).out
    )
    listed = {option.enclosure.id for option in counted.options}
    missing = next(
        name for name in (f"demo-box-{i:04d}" for i in range(1, 1600)) if name not in listed
    )
    assert missing in run("why", job, missing, "--store", store).out
    assert run("why", job, "demo-box-99999", "--store", store).code == 4


def test_a_new_job_file_is_complete(run: Run, tmp_path: Path) -> None:
    """The sample can be checked at once, and is not written over."""
    path = tmp_path / "new.toml"
    assert run("job", "new", path).code == 0
    assert "complete" in run("job", "check", path).out
    assert run("job", "new", path).code == 5


def test_the_supply_is_played_with_and_without_remedies(run: Run, job: Path, store: str) -> None:
    """A capacitor hardly lifts the mean, a second battery does: E = C U dU against ampere-hours."""
    played = json.loads(run("feed", job, 1, "--json", "--store", store).out)
    names = [remedy["name"] for remedy in played]
    assert names[:2] == ["as it is", "1 F"]
    bare, capacitor, second = played[:3]
    assert capacitor["loud_v"] - bare["loud_v"] < 0.1
    assert second["loud_v"] > capacitor["loud_v"]
    assert run("feed", job, 1, "--store", store).out.startswith("as it is")


def test_the_user_s_own_track_is_played(run: Run, job: Path, store: str, tmp_path: Path) -> None:
    """A loud 50 Hz tone sags the supply more than the same tone 12 dB lower; text is told."""
    lowest = []
    for name, peak in (("loud", 1.0), ("soft", 0.25)):
        tone = peak * np.sin(2 * np.pi * 50 * np.arange(8000 * 10) / 8000)
        soundfile.write(tmp_path / f"{name}.wav", tone, 8000)
        ran = run("feed", job, 1, "--track", tmp_path / f"{name}.wav", "--json", "--store", store)
        lowest.append(json.loads(ran.out)[0]["lowest_v"])
    assert lowest[0] < lowest[1] - 0.1
    (tmp_path / "text.wav").write_text("not a sound", encoding="utf-8")
    told = run("feed", job, 1, "--track", tmp_path / "text.wav", "--store", store)
    assert told.code == 2
    assert "text.wav" in told.err


def test_a_quick_test_is_judged_and_taken_into_the_job(run: Run, job: Path, tmp_path: Path) -> None:
    """Readings replace the estimates, and are marked as measured."""
    out = tmp_path / "measured.toml"
    readings = ("rest=12.5 V", "cranking=9.1 V", "idle=14.1 V", "drain=45 mA")
    ran = run("job", "quick-test", job, *readings, "--write", out)
    assert ran.code == 0
    assert "voltage while starting: fails" in ran.out
    assert "caution" in ran.out
    car = jobs.read_job(out).car
    assert car.charging.running_voltage_v == pytest.approx(14.1)
    assert car.origins["charging.running_voltage_v"].kind == "measured"
    bad = run("job", "quick-test", job, "foo=3 V", "rest=x V")
    assert bad.code == 2
    assert "foo" in bad.err
    assert "rest" in bad.err


def test_a_sheet_is_checked_then_taken_in_and_written_again(run: Run, tmp_path: Path) -> None:
    """A bad row is told with its column and nothing is stored; the good sheet goes in."""
    address = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    head = "id,maker,model,kind,width,height,depth,driver size,load,power,price\n"
    good = "a1,Invented,A1,closed,640 mm,380 mm,350 mm,12 in,2 ohm,100-400 W RMS,199\n"
    bad = "a2,Invented,A2,closed,640 mm,380 mm,9 parsec,12 in,2 ohm,400-100 W,199\n"
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(head + good + bad, encoding="utf-8")
    checked = run("catalogue", "check", sheet, "--store", address)
    assert checked.code == 2
    assert "row 3" in checked.out
    assert "parsec" in checked.out
    assert run("catalogue", "import", sheet, "--store", address).code == 2
    assert run("catalogue", "export", tmp_path / "none.csv", "--store", address).out.startswith(
        "0 "
    )
    sheet.write_text(head + good, encoding="utf-8")
    assert "1 new" in run("catalogue", "import", sheet, "--store", address).out
    written = run("catalogue", "export", tmp_path / "out.csv", "--store", address)
    assert written.out.startswith("1 ")
    again = run("catalogue", "import", tmp_path / "out.csv", "--store", address)
    assert "1 as they were" in again.out
    assert run("catalogue", "make-demo", "--store", address).code == 5
    kept = run("catalogue", "export", tmp_path / "kept.csv", "--store", address)
    assert kept.out.startswith("1 ")


def test_a_workshop_moves_in_one_file(run: Run, store: str, tmp_path: Path) -> None:
    """Export and import carry the whole catalogue; a backup is such a file."""
    file = tmp_path / "shop.workshop"
    assert run("workshop", "export", file, "--store", store).code == 0
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert run("workshop", "import", file, "--store", other).code == 0
    assert "0 doubts" in run("catalogue", "doubts", "--store", other).out
    assert run("workshop", "backup", tmp_path / "safe", "--store", other).code == 0
    assert len(list((tmp_path / "safe").iterdir())) == 1


def test_two_options_side_by_side(run: Run, job: Path, store: str) -> None:
    """The table ends in a sentence for the customer."""
    assert "The second system sounds" in run("compare", job, 1, 2, "--store", store).out


def test_a_folder_that_cannot_be_written_is_told(
    run: Run, job: Path, store: str, tmp_path: Path
) -> None:
    """Papers into a place that is a file, and a job into no folder: a message only."""
    (tmp_path / "taken").write_text("", encoding="utf-8")
    ran = run("papers", job, 1, "--out", tmp_path / "taken" / "out", "--store", store)
    assert ran.code == 5
    assert "taken" in ran.err
    ran = run("job", "new", tmp_path / "none" / "job.toml")
    assert ran.code == 5
    assert "none" in ran.err


def test_help_needs_no_records() -> None:
    """The help text comes before pydantic, numpy or the database are loaded."""
    code = (
        "import sys; import basswright.cli.commands; "
        "print([n for n in ('pydantic', 'numpy', 'sqlalchemy', 'rich') if n in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
