"""A whole workshop in one file: out of either database and into either."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, select

from basswright.catalogue.demo import make
from basswright.catalogue.sheets import write_csv
from basswright.catalogue.store import Catalogue
from basswright.database import connect
from basswright.database.engine import reading, writing
from basswright.database.measured_cars import MeasuredCars
from basswright.database.tables import ITEM, METADATA
from basswright.database.workshop import backup, export_workshop, import_workshop
from basswright.errors import BasswrightError, ConflictError, InputError, TooLargeError
from basswright.jobs.store import JobStore
from tests.database.measured import measured_car
from tests.jobs.stored import sample_job

PICTURE = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40


def _contents(engine: Engine) -> dict[str, list[dict[str, Any]]]:
    with reading(engine) as connection:
        return {
            table.name: [
                dict(row._mapping)
                for row in connection.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in METADATA.sorted_tables
        }


@pytest.fixture
def filled(engine: Engine, tmp_path: Path) -> Engine:
    """A workshop with a catalogue, a taken-in sheet, jobs with history and photos."""
    snapshot = make(3, enclosures=30, amplifiers=10).snapshot
    catalogue = Catalogue(engine)
    catalogue.replace(snapshot)
    sheet = tmp_path / "sheet.csv"
    write_csv(sheet, "enclosures", make(4, enclosures=40).snapshot.enclosures)
    catalogue.import_sheet(sheet, kind="enclosures", supplier="Demo Trade")
    jobs = JobStore(engine)
    jobs.save(sample_job(), note="first")
    jobs.save(sample_job(budget=1200.0), 1, note="more money")
    jobs.save(sample_job("bread-van"))
    jobs.archive("bread-van")
    jobs.attach_photo("green-hatch", "boot.jpg", PICTURE)
    jobs.attach_file("green-hatch", "recording", name="sweep.wav", content=b"RIFF....WAVE")
    MeasuredCars(engine).keep(measured_car("green-hatch"))
    return engine


@pytest.fixture
def file(filled: Engine, tmp_path: Path) -> Path:
    return export_workshop(filled, tmp_path / "mine.workshop").path


def _rewritten(file: Path, name: str, change: Callable[[bytes], bytes | None]) -> Path:
    """Write the file again with one member changed or left out."""
    out = file.with_name("changed.workshop")
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(out, "w") as new:
        for member in old.namelist():
            content: bytes | None = old.read(member)
            if member == name:
                content = change(old.read(member))
            if content is not None:
                new.writestr(member, content)
    return out


def test_everything_goes_into_the_file_and_into_another_database(
    filled: Engine, file: Path, tmp_path: Path
) -> None:
    before = _contents(filled)
    other = connect(str(tmp_path / "other.sqlite"))
    taken = import_workshop(other, file)
    after = _contents(other)
    assert taken.counts == {name: len(rows) for name, rows in before.items()}
    assert before.pop("catalogue")[0]["currency"] == after.pop("catalogue")[0]["currency"]
    assert after == before
    assert Catalogue(other).snapshot() == Catalogue(filled).snapshot()
    photo = JobStore(other).photos("green-hatch")[0]
    assert JobStore(other).photo("green-hatch", photo.id) == PICTURE
    other.dispose()


def test_work_goes_on_after_reading_a_file_back(filled: Engine, file: Path) -> None:
    """Photos and imports get new numbers, and an older snapshot is not taken for the newest."""
    catalogue, jobs = Catalogue(filled), JobStore(filled)
    catalogue.snapshot()
    catalogue.remove("fuses", [catalogue.snapshot().fuses[0].id])
    fewer = catalogue.snapshot()
    import_workshop(filled, file, replace=True)
    assert len(catalogue.snapshot().fuses) == len(fewer.fuses) + 1
    jobs.attach_photo("green-hatch", "second.jpg", PICTURE + b"2")
    assert len(jobs.photos("green-hatch")) == 2
    assert jobs.save(sample_job(budget=1.0), 2).revision == 3


def test_a_database_that_is_not_empty_is_only_replaced_if_one_says_so(
    filled: Engine, file: Path
) -> None:
    before = _contents(filled)
    with pytest.raises(ConflictError, match="not empty"):
        import_workshop(filled, file)
    assert _contents(filled) == before


@pytest.mark.parametrize(
    ("member", "change", "problem"),
    [
        ("manifest.json", lambda content: None, "no workshop file"),
        ("manifest.json", lambda content: b"[]", "no workshop file"),
        ("manifest.json", lambda c: c.replace(b'"version": 1', b'"version": 9'), "newer version"),
        ("tables/item.jsonl", lambda content: None, "damaged or missing"),
        ("tables/item.jsonl", lambda content: content[:-40], "damaged"),
        ("tables/item.jsonl", lambda c: c.replace(b"demo-box-0001", b"demo-box-0x01"), "changed"),
        ("tables/job.jsonl", lambda content: b'{"id": "x"}\n', "columns missing"),
        ("tables/job.jsonl", lambda content: b"[1, 2]\n", "not a row"),
        ("tables/job.jsonl", lambda c: c.replace(b'"revision":2', b'"revision":"2"'), "wrong type"),
        ("tables/job.jsonl", lambda c: c.replace(b'level_db\\":', b'level_xx\\":'), "line 1"),
    ],
)
def test_a_damaged_file_changes_nothing(
    filled: Engine, file: Path, member: str, change: Callable[[bytes], bytes | None], problem: str
) -> None:
    before = _contents(filled)
    with pytest.raises(InputError, match=problem):
        import_workshop(filled, _rewritten(file, member, change), replace=True)
    assert _contents(filled) == before


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (lambda content: content + b"x", "picture was changed"),
        (lambda content: None, "picture is missing"),
    ],
)
def test_a_damaged_picture_changes_nothing(
    filled: Engine, file: Path, change: Callable[[bytes], bytes | None], problem: str
) -> None:
    with zipfile.ZipFile(file) as archive:
        digest = hashlib.sha256(PICTURE).hexdigest()
        (picture,) = (name for name in archive.namelist() if name.endswith(digest))
    before = _contents(filled)
    with pytest.raises(InputError, match=problem):
        import_workshop(filled, _rewritten(file, picture, change), replace=True)
    assert _contents(filled) == before


def test_rows_that_do_not_go_together_change_nothing(filled: Engine, file: Path) -> None:
    """A photo of a job that is not there, with the checksums made to agree."""
    with zipfile.ZipFile(file) as archive:
        photos = archive.read("tables/job_photo.jsonl").replace(b"green-hatch", b"not-there")
        manifest = json.loads(archive.read("manifest.json"))
    manifest["sha256"]["tables/job_photo.jsonl"] = hashlib.sha256(photos).hexdigest()
    once = _rewritten(file, "tables/job_photo.jsonl", lambda content: photos)
    again = once.with_name("again.workshop")
    once.rename(again)
    wrong = _rewritten(again, "manifest.json", lambda content: json.dumps(manifest).encode())
    before = _contents(filled)
    with pytest.raises(InputError, match="does not go together"):
        import_workshop(filled, wrong, replace=True)
    assert _contents(filled) == before


def test_a_file_of_an_earlier_version_is_read(filled: Engine, file: Path) -> None:
    """Tables that came later stay empty; those that should be there may not be missing."""
    with zipfile.ZipFile(file) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    manifest["tables"] = "0001"
    once = file
    for name in ("job_file", "measured_car"):
        del manifest["counts"][name]
        once = _rewritten(once, f"tables/{name}.jsonl", lambda content: None).rename(
            file.with_name(f"without-{name}.workshop")
        )
    older = _rewritten(once, "manifest.json", lambda content: json.dumps(manifest).encode())
    import_workshop(filled, older, replace=True)
    assert JobStore(filled).files("green-hatch") == ()
    assert len(JobStore(filled).photos("green-hatch")) == 1
    newer = _rewritten(once, "manifest.json", lambda c: c.replace(b'"0003"', b'"0004"'))
    with pytest.raises(InputError, match="newer version"):
        import_workshop(filled, newer, replace=True)


def test_something_else_is_refused(engine: Engine, tmp_path: Path) -> None:
    letter = tmp_path / "letter.workshop"
    letter.write_bytes(b"Dear customer")
    with pytest.raises(InputError, match="no workshop file"):
        import_workshop(engine, letter)
    with pytest.raises(InputError, match="cannot be read"):
        import_workshop(engine, tmp_path / "nowhere.workshop")
    with pytest.raises(InputError, match="cannot be written"):
        export_workshop(engine, tmp_path / "no" / "folder" / "x.workshop")


def test_a_file_that_unpacks_to_too_much_is_refused(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("basswright.database.workshop.MAX_UNPACKED_BYTES", 1000)
    bomb = tmp_path / "bomb.workshop"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("manifest.json", bytes(1_000_000))
    with pytest.raises(TooLargeError):
        import_workshop(engine, bomb)


def test_an_older_file_stays_if_writing_fails(
    filled: Engine, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = file.read_bytes()

    def full_disk(*_: object) -> None:
        raise BasswrightError("no room")

    monkeypatch.setattr("basswright.database.workshop._write_table", full_disk)
    with pytest.raises(BasswrightError, match="no room"):
        export_workshop(filled, file)
    assert file.read_bytes() == before
    assert [path.name for path in file.parent.glob(".writing-*")] == []


def test_a_backup_sees_one_moment_while_others_write(filled: Engine, tmp_path: Path) -> None:
    """What is not confirmed yet is not in it, and the writer is not held up."""
    with writing(filled) as connection:
        connection.execute(ITEM.delete())
        made = backup(filled, tmp_path / "backups")
    assert made.counts["item"] > 0
    assert Catalogue(filled).counts()["enclosures"] == 0
    import_workshop(filled, made.path, replace=True)
    assert Catalogue(filled).counts()["enclosures"] > 0


def test_old_backups_go_and_the_newest_stay(engine: Engine, tmp_path: Path) -> None:
    made = [backup(engine, tmp_path, keep=2).path for _ in range(4)]
    assert sorted(tmp_path.glob("*.workshop")) == sorted(made[-2:])
