"""Was the promise kept? End to end on recordings in cars that other models simulate."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from basswright import database, jobs, stages
from basswright.catalogue.store import Catalogue
from basswright.stages.system import System
from tests.cli.conftest import Run
from tests.proof.fitted import FULL_SCALE_DB, record, with_the_whole_volume

LOUD = ("--full-scale", f"{FULL_SCALE_DB} dB")


@pytest.fixture(scope="module")
def car(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample job with the air of the simulated room."""
    path = tmp_path_factory.mktemp("car") / "job.toml"
    job = with_the_whole_volume(jobs.parse_job(jobs.sample_text("hatchback")))
    path.write_text(jobs.write_job(job), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def fitted(car: Path, store: str) -> System:
    """Its first option of the kind that the simulated room knows: one driver, fed from outside."""
    prepared = stages.prepare(Catalogue(database.connect(store)).snapshot())
    job = jobs.read_job(car)
    for option in stages.options(job, prepared, most=30).options:
        box = option.enclosure
        known = box.kind == "closed" or (box.kind == "vented" and box.tuning_hz is not None)
        simple = known and box.driver.count == 1
        if simple and option.amplifier is not None and box.terminals is None:
            return stages.system(job, prepared, option.id)
    raise AssertionError("no option that can be simulated")


@pytest.fixture(scope="module")
def chosen(fitted: System) -> str:
    """The id of that option."""
    return fitted.option.id


@pytest.fixture(scope="module")
def sound(fitted: System, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Recordings: all well, and the gain 9 dB too low."""
    folder = tmp_path_factory.mktemp("sound")
    return {
        "well": record(folder / "well.wav", fitted),
        "low": record(folder / "low.wav", fitted, gain_db=-9.0),
    }


@pytest.fixture(scope="module")
def kept_files(sound: dict[str, Path]) -> dict[str, Path]:
    """The same, measured and kept."""
    from basswright.proof import saving
    from basswright.stages import proof

    how = proof.listening(level_at_full_scale_db=FULL_SCALE_DB)
    files = {}
    for name, path in sound.items():
        files[name] = path.with_suffix(".json")
        files[name].write_text(saving.as_text(proof.measure([path], how)), encoding="utf-8")
    return files


def test_a_car_that_is_well_keeps_the_promise(
    run: Run, car: Path, chosen: str, store: str, sound: dict[str, Path]
) -> None:
    ran = run("proof", "check", car, chosen, sound["well"], *LOUD, "--store", store)
    assert ran.code == 0
    assert "The promise was kept" in ran.out


def test_a_low_gain_is_found_and_a_meter_makes_it_sure(
    run: Run, car: Path, chosen: str, store: str, fitted: System, sound: dict[str, Path]
) -> None:
    """Alone it is among the likely causes; with the voltage of the tone it is the cause."""
    from basswright.stages.proof import set_up_tone_v

    ran = run("proof", "check", car, chosen, sound["low"], *LOUD, "--json", "--store", store)
    assert ran.code == 3
    alone = json.loads(ran.out)
    assert not alone["kept"]
    assert alone["where_not"]
    assert "gain low" in [cause["fault"] for cause in alone["causes"][:3]]
    assert alone["check_next"]
    volts = set_up_tone_v(fitted) * 10 ** (-9 / 20)
    coil_ohm = 0.8 * fitted.option.match.load_ohm
    meter = ("--tone", f"{volts:.2f} V", "--resistance", f"{coil_ohm:.2f} ohm")
    ran = run(
        "proof", "check", car, chosen, sound["low"], *LOUD, *meter, "--json", "--store", store
    )
    surer = json.loads(ran.out)
    assert surer["causes"][0]["fault"] == "gain low"
    assert surer["causes"][0]["share"] > 0.8
    said = run("proof", "check", car, chosen, sound["low"], *LOUD, *meter, "--store", store)
    assert "The promise was not kept" in said.out
    assert "gain low" in said.out


def test_next_year_shows_what_has_changed(
    run: Run, car: Path, store: str, kept_files: dict[str, Path]
) -> None:
    same = run("proof", "again", kept_files["well"], kept_files["well"])
    assert same.code == 0
    assert "does what it did" in same.out
    ran = run(
        *("proof", "again", kept_files["low"], kept_files["well"], "--job", car, "--json"),
        *("--store", store),
    )
    assert ran.code == 3
    found = json.loads(ran.out)
    assert found["causes"][0]["fault"] == "gain low"
    assert found["band_margin_db"] == pytest.approx([-7.0] * 7, abs=0.3)
    letter = kept_files["well"].with_name("letter.json")
    letter.write_text("Dear customer", encoding="utf-8")
    refused = run("proof", "again", letter, kept_files["well"])
    assert refused.code == 2
    assert "this is no measurement" in refused.err


def test_a_kept_car_is_the_prior_of_the_next_of_its_kind(
    run: Run, car: Path, tmp_path: Path, kept_files: dict[str, Path]
) -> None:
    """The promise for another job of the kind moves towards what was measured, and is told."""
    from basswright.catalogue import demo

    own = f"sqlite:///{tmp_path / 'own.sqlite'}"
    Catalogue(database.connect(own)).replace(demo.make(enclosures=60, amplifiers=20).snapshot)
    next_job = tmp_path / "next.toml"
    text = car.read_text(encoding="utf-8")
    next_job.write_text(text.replace('id = "demo-hatchback"', 'id = "next"'), encoding="utf-8")
    first = json.loads(run("system", next_job, "1", "--json", "--store", own).out)
    with_cabin = tmp_path / "with-cabin.toml"
    ran = run(
        *("proof", "keep", car, first["option"]["id"], kept_files["low"]),
        *("--write", with_cabin, "--store", own),
    )
    assert ran.code == 0
    assert "measured cars of this kind: 1" in ran.out
    after = json.loads(run("system", next_job, "1", "--json", "--store", own).out)
    assert "measured cars of this kind: 1" in after["prediction"]["cabin_model"]
    gains = [run_["prediction"]["cabin_gain_db"][15:30] for run_ in (first, after)]
    assert sum(gains[1]) < sum(gains[0]) - 15
    own_job = run("system", car, first["option"]["id"], "--json", "--store", own)
    assert "measured cars" not in json.loads(own_job.out)["prediction"]["cabin_model"]
    measured = run("system", with_cabin, "1", "--json", "--store", own)
    assert "measured cabin" in json.loads(measured.out)["prediction"]["cabin_model"]
    assert "demo-hatchback" in run("proof", "cars", "--store", own).out
    assert run("proof", "forget", "demo-hatchback", "--store", own).code == 0
    assert "no measured cars yet" in run("proof", "cars", "--store", own).out


def test_the_settings_can_rest_on_a_measurement(
    run: Run, car: Path, chosen: str, store: str, kept_files: dict[str, Path]
) -> None:
    ran = run("tune", car, chosen, "--front-distance", "1.1 m", "--json", "--store", store)
    assert ran.code == 0
    planned = json.loads(ran.out)
    assert planned["delay"]["how"] == "distances"
    assert len(planned["biquads"]) >= 2
    ran = run("tune", car, chosen, "--measured", kept_files["well"], "--bands", 3, "--store", store)
    assert ran.code == 0
    assert "equaliser 1" in ran.out
    assert "delay: not known" in ran.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--front", "front.wav"), ("--front, --together", "only with the other")),
        (("--resistance", "3 kg"), ("--resistance", "3 kg")),
        (("--channel", "3"), ("channel", "1 to 1")),
        (("--channel", "0"), ("count from 1",)),
    ],
)
def test_senseless_readings_are_told_with_their_option(
    run: Run,
    car: Path,
    chosen: str,
    store: str,
    sound: dict[str, Path],
    arguments: tuple[str, ...],
    told: tuple[str, ...],
) -> None:
    front = sound["well"].with_name("front.wav")
    front.write_bytes(sound["well"].read_bytes())
    given = [str(front) if part == "front.wav" else part for part in arguments]
    ran = run("proof", "check", car, chosen, sound["well"], *LOUD, *given, "--store", store)
    assert ran.code == 2
    for word in told:
        assert word in ran.err
