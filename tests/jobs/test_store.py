"""The jobs in either database: history, undo, conflicts, photos."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Engine

from basswright.errors import ConflictError, InputError, NotFoundError, TooLargeError
from basswright.jobs.store import PHOTO_LIMIT, JobStore
from tests.jobs.stored import sample_job

_JPEG = b"\xff\xd8\xff\xe0" + b"picture" * 9


@pytest.fixture
def store(engine: Engine) -> JobStore:
    return JobStore(engine)


def test_a_saved_job_comes_back_as_it_was(store: JobStore) -> None:
    saved = store.save(sample_job())
    assert (saved.job, saved.revision, saved.archived) == (sample_job(), 1, False)
    assert store.get("green-hatch") == saved
    assert store.list() == (saved,)


def test_a_new_job_never_overwrites_another(store: JobStore) -> None:
    store.save(sample_job())
    with pytest.raises(ConflictError, match="already"):
        store.save(sample_job(budget=1.0))
    assert store.get("green-hatch").job.wish.budget == 900.0
    assert len(store.history("green-hatch")) == 1


def test_a_stale_change_is_refused_and_loses_nothing(store: JobStore) -> None:
    store.save(sample_job())
    store.save(sample_job(budget=1000.0), 1)
    with pytest.raises(ConflictError, match="revision 2"):
        store.save(sample_job(budget=800.0), 1)
    assert store.get("green-hatch").job.wish.budget == 1000.0


def test_a_change_to_a_job_that_is_gone_is_refused(store: JobStore) -> None:
    with pytest.raises(NotFoundError):
        store.save(sample_job(), 3)


def test_history_keeps_every_state_with_its_note(store: JobStore) -> None:
    store.save(sample_job(), note="first readings")
    store.save(sample_job(budget=1000.0), 1, note="more money")
    history = store.history("green-hatch")
    assert [(h.revision, h.note, h.restores) for h in history] == [
        (1, "first readings", None),
        (2, "more money", None),
    ]
    assert store.at("green-hatch", 1).wish.budget == 900.0
    with pytest.raises(NotFoundError):
        store.at("green-hatch", 3)


def test_undo_goes_back_step_by_step_and_a_new_change_starts_afresh(store: JobStore) -> None:
    store.save(sample_job(budget=100.0))
    store.save(sample_job(budget=200.0), 1)
    store.save(sample_job(budget=300.0), 2)
    undone = store.undo("green-hatch", expected_revision=3)
    assert (undone.revision, undone.job.wish.budget) == (4, 200.0)
    undone = store.undo("green-hatch", expected_revision=4)
    assert (undone.revision, undone.job.wish.budget) == (5, 100.0)
    with pytest.raises(NotFoundError, match="earlier state"):
        store.undo("green-hatch", expected_revision=5)
    store.save(sample_job(budget=400.0), 5)
    assert store.undo("green-hatch", expected_revision=6).job.wish.budget == 100.0


def test_undo_with_a_stale_revision_is_refused(store: JobStore) -> None:
    store.save(sample_job(budget=100.0))
    store.save(sample_job(budget=200.0), 1)
    with pytest.raises((ConflictError, NotFoundError)):
        store.undo("green-hatch", expected_revision=1)
    assert store.get("green-hatch").job.wish.budget == 200.0


def test_an_undone_change_can_be_brought_back(store: JobStore) -> None:
    store.save(sample_job(budget=100.0))
    store.save(sample_job(budget=200.0), 1)
    store.undo("green-hatch", expected_revision=2)
    back = store.restore("green-hatch", 2, expected_revision=3)
    assert back.job.wish.budget == 200.0
    assert store.history("green-hatch")[-1].restores == 2


def test_search_finds_every_word_without_regard_to_case(store: JobStore) -> None:
    store.save(sample_job())
    store.save(sample_job("bread-van", "Bread van 100%"))
    assert [s.job.id for s in store.search("GREEN ömer")] == ["bread-van", "green-hatch"]
    assert [s.job.id for s in store.search("bread")] == ["bread-van"]
    assert [s.job.id for s in store.search("100%")] == ["bread-van"]
    assert store.search("1%0") == ()
    assert store.search("no such car") == ()


def test_archived_jobs_leave_the_list_and_stay_searchable(store: JobStore) -> None:
    store.save(sample_job())
    assert store.archive("green-hatch").archived
    assert store.list() == ()
    assert [s.job.id for s in store.list(archived=True)] == ["green-hatch"]
    assert [s.job.id for s in store.search("hatch")] == ["green-hatch"]
    assert not store.archive("green-hatch", archived=False).archived
    assert len(store.list()) == 1


def test_a_copy_is_a_job_of_its_own(store: JobStore) -> None:
    store.save(sample_job())
    copy = store.duplicate("green-hatch", "blue-hatch", title="Blue hatch")
    assert (copy.job.id, copy.job.title, copy.revision) == ("blue-hatch", "Blue hatch", 1)
    assert copy.job.car == sample_job().car
    with pytest.raises(ConflictError):
        store.duplicate("green-hatch", "blue-hatch")
    with pytest.raises(InputError, match="id"):
        store.duplicate("green-hatch", "Not an id!")


def test_photos_stay_with_their_job(store: JobStore) -> None:
    store.save(sample_job())
    photo = store.attach_photo("green-hatch", "boot.jpg", _JPEG)
    assert (photo.media_type, photo.size) == ("image/jpeg", len(_JPEG))
    assert store.attach_photo("green-hatch", "again.jpg", _JPEG) == photo
    store.attach_photo("green-hatch", "x.png", b"\x89PNG\r\n\x1a\n data")
    store.attach_photo("green-hatch", "x.webp", b"RIFF0000WEBPVP8 ")
    assert [p.media_type for p in store.photos("green-hatch")] == [
        "image/jpeg",
        "image/png",
        "image/webp",
    ]
    assert store.photo("green-hatch", photo.id) == _JPEG
    with pytest.raises(NotFoundError):
        store.photo("other", photo.id)


def test_only_pictures_of_a_sensible_size_are_taken(store: JobStore) -> None:
    store.save(sample_job())
    with pytest.raises(InputError, match="not a picture"):
        store.attach_photo("green-hatch", "virus.jpg", b"MZ executable")
    with pytest.raises(TooLargeError):
        store.attach_photo("green-hatch", "huge.jpg", _JPEG + bytes(PHOTO_LIMIT))
    with pytest.raises(NotFoundError):
        store.attach_photo("no-job", "boot.jpg", _JPEG)
    assert store.photos("green-hatch") == ()


def test_files_stay_with_their_job_and_are_found_by_kind(store: JobStore) -> None:
    store.save(sample_job())
    store.save(sample_job("bread-van"))
    sound = store.attach_file("green-hatch", "recording", name="s.wav", content=b"RIFF", note="x")
    cabin = store.attach_file("bread-van", "cabin", name="cabin.json", content=b"{}")
    again = store.attach_file("green-hatch", "recording", name="other.wav", content=b"RIFF")
    assert again == sound
    assert (sound.size, sound.note, sound.car) == (4, "x", "small green hatchback")
    assert store.files("green-hatch") == (sound,)
    assert store.files() == (sound, cabin)
    assert store.files(kind="cabin") == (cabin,)
    assert store.file("bread-van", cabin.id) == b"{}"
    with pytest.raises(NotFoundError):
        store.file("green-hatch", cabin.id)
    with pytest.raises(NotFoundError):
        store.files("no-such-job")


def test_files_of_no_known_kind_or_too_large_are_refused(
    store: JobStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.save(sample_job())
    unknown: Any = "song"
    with pytest.raises(InputError, match="recording, impedance"):
        store.attach_file("green-hatch", unknown, name="s", content=b"x")
    monkeypatch.setattr("basswright.jobs.attachments.FILE_LIMIT", 3)
    with pytest.raises(TooLargeError):
        store.attach_file("green-hatch", "scan", name="s", content=b"four")
    assert store.files() == ()


def test_deleting_takes_history_and_photos_along(store: JobStore) -> None:
    store.save(sample_job())
    photo = store.attach_photo("green-hatch", "boot.jpg", _JPEG)
    store.delete("green-hatch")
    for question in (store.get, store.history, store.photos):
        with pytest.raises(NotFoundError):
            question("green-hatch")
    with pytest.raises(NotFoundError):
        store.photo("green-hatch", photo.id)


def test_a_name_that_is_nearly_right_is_offered(store: JobStore) -> None:
    store.save(sample_job())
    with pytest.raises(NotFoundError) as missing:
        store.get("green-hutch")
    assert missing.value.near == ("green-hatch",)
