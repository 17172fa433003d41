"""Readings are saved one by one, errors stand beside them, and nobody's work is lost."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import httpx
import pytest
from sqlalchemy import Engine

from basswright import jobs
from basswright.errors import ConflictError
from basswright.jobs.editing import from_template
from basswright.jobs.store import JobStore
from basswright.web.desk import Desk
from basswright.web.saving import ChangedMeanwhileError, save_edit, save_reading
from tests.web.conftest import free_port

JOB = "/jobs/demo-hatchback"
HEIGHT = "car.load_space.height"


def post(client: httpx.Client, path: str, value: str, **more: str) -> httpx.Response:
    """Save one reading as the page does."""
    data = {"path": path, "value": value, **more}
    return client.post(f"{JOB}/reading", data=data, headers={"HX-Request": "true"})


def height(engine: Engine) -> float:
    """Return the height that is saved."""
    space = JobStore(engine).get("demo-hatchback").job.car.load_space
    assert space.kind == "hatchback"
    return space.height_m


@pytest.mark.parametrize(
    ("written", "expected"),
    [("555", 0.555), ("55.5 cm", 0.555), ("21 3/4 in", 21.75 * 0.0254), ("0,555 m", 0.555)],
)
def test_a_reading_is_saved_with_or_without_its_unit(
    client: httpx.Client, engine: Engine, written: str, expected: float
) -> None:
    answer = post(client, HEIGHT, written)
    assert answer.status_code == 200
    assert height(engine) == pytest.approx(expected)
    assert "space-changed" in answer.headers["HX-Trigger"]
    assert 'class="error"' not in answer.text


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("", "is missing"),
        ("abc", "Not a length"),
        ("-5", "Out of range"),
        ("9 parsec", "Unknown unit"),
        ("nan", "Not a length"),
        ("1,200", "decimal or a thousands sign"),
        ("<script>alert(1)</script>", "Not a length"),
    ],
)
def test_a_bad_reading_is_told_beside_its_field_and_kept_as_typed(
    client: httpx.Client, engine: Engine, written: str, why: str
) -> None:
    answer = post(client, HEIGHT, written)
    assert answer.status_code == 200
    assert why.lower() in answer.text.lower()
    assert 'aria-invalid="true"' in answer.text
    assert "<script>" not in answer.text
    assert height(engine) == 0.54


def test_what_is_being_typed_is_checked_without_being_saved(
    client: httpx.Client, engine: Engine
) -> None:
    good = client.get(f"{JOB}/check", params={"path": HEIGHT, "value": "60 cm"})
    bad = client.get(f"{JOB}/check", params={"path": HEIGHT, "value": "60 kg"})
    assert "error" not in good.text
    assert json.loads(good.headers["HX-Trigger"])["space-tried"]["value"] == "60 cm"
    assert "unknown unit" in bad.text.lower()
    assert height(engine) == 0.54


def test_estimates_on_the_page_follow_the_reading_that_they_rest_on(
    client: httpx.Client,
) -> None:
    answer = post(client, "car.cabin.length", "2600")
    moved = answer.text.split('id="f-car-cabin-volume"', 1)[1]
    assert 'hx-swap-oob="outerMorph"' in moved[:200]
    assert "3340" in moved.split("</form>")[0]


def test_names_of_people_and_cars_are_shown_as_text(client: httpx.Client) -> None:
    """OWASP ASVS 4.0.3, 5.3.3."""
    nasty = "<img src=x onerror=alert(1)>\"'{{7*7}}"
    assert post(client, "title", nasty).status_code == 200
    assert post(client, "car.name", nasty).status_code == 200
    for path in ("/", f"{JOB}/car", f"{JOB}/wish", f"{JOB}/options"):
        text = client.get(path).text
        assert "<img src=x" not in text
        assert "&lt;img src=x" in text
        assert "49" not in text.split("&lt;img src=x", 1)[1][:60]


def test_another_kind_of_space_brings_its_own_readings(client: httpx.Client) -> None:
    for kind in ("estate", "behind-seat", "under-seat", "console", "spare-wheel-well", "van"):
        page = client.get(f"{JOB}/car").text
        assert f'value="{kind}"' in page
        answer = post(client, "car.load_space.kind", kind)
        assert answer.headers["HX-Refresh"] == "true"
        page = client.get(f"{JOB}/car").text
        assert f'value="{kind}" selected' in page
        assert "from a template" in page
        assert "It is right" in page


def test_a_template_figure_is_confirmed_at_a_press(client: httpx.Client, engine: Engine) -> None:
    made = client.post("/jobs", data={"title": "New car", "template": "estate"})
    assert str(made.url).endswith("/jobs/new-car/car")
    assert "readings still from the template" in made.text
    client.post("/jobs/new-car/confirm", data={"path": HEIGHT})
    origins = JobStore(engine).get("new-car").job.car.origins
    assert "load_space.height_m" not in origins
    assert "load_space.depth_floor_m" in origins


@pytest.mark.parametrize(
    "path", ["", "nonsense", "car", "car.cabin.length_m", "__class__", "a" * 119]
)
def test_a_reading_that_does_not_exist_is_refused(client: httpx.Client, path: str) -> None:
    assert post(client, path, "1").status_code == 422


def test_a_wish_is_saved_from_slider_and_field(client: httpx.Client, engine: Engine) -> None:
    def save(**data: str) -> str:
        return client.post(f"{JOB}/wish", data={"path": "wish.level", **data}).text

    assert "dance-floor" in save(text="112", slid="114.0", slid_was="114.0").lower()
    assert JobStore(engine).get("demo-hatchback").job.wish.level_db == 112
    save(text="112", slid="108.5", slid_was="112.0")
    assert JobStore(engine).get("demo-hatchback").job.wish.level_db == 108.5
    assert "out of range" in save(text="400", slid="108.5", slid_was="108.5").lower()


def test_at_least_one_kind_of_box_has_to_stay(client: httpx.Client, engine: Engine) -> None:
    def kinds() -> tuple[str, ...]:
        return JobStore(engine).get("demo-hatchback").job.wish.box_kinds

    client.post(f"{JOB}/wish", data={"path": "wish.box_kinds", "kind": ["closed", "vented"]})
    assert kinds() == ("closed", "vented")
    answer = client.post(f"{JOB}/wish", data={"path": "wish.box_kinds"})
    assert "At least one" in answer.text
    assert kinds() == ("closed", "vented")


def test_what_was_tried_can_be_kept(client: httpx.Client, engine: Engine) -> None:
    client.post(f"{JOB}/options/keep", data={"wish.budget": "900", "id": "other", "title": "x"})
    job = JobStore(engine).get("demo-hatchback").job
    assert job.wish.budget == 900
    assert job.title.startswith("Demo")


def test_undo_brings_the_last_state_back(client: httpx.Client, engine: Engine) -> None:
    post(client, HEIGHT, "555")
    post(client, HEIGHT, "565")
    client.post(f"{JOB}/undo", data={"revision": "3"})
    assert height(engine) == 0.555
    client.post(f"{JOB}/undo", data={"revision": "4"})
    assert height(engine) == 0.54
    stale = client.post(f"{JOB}/undo", data={"revision": "3"})
    assert stale.status_code == 409


def test_jobs_are_found_copied_put_away_and_taken_in(client: httpx.Client) -> None:
    copy = client.post(f"{JOB}/copy")
    assert str(copy.url).endswith("/jobs/demo-hatchback-2/car")
    assert "copy" in client.get("/jobs", params={"text": "hatchback COPY"}).text
    assert "No job has these words" in client.get("/jobs", params={"text": "zeppelin"}).text
    client.post("/jobs/demo-hatchback-2/archive", data={"away": "true"})
    assert "(copy)" not in client.get("/jobs").text
    assert "(copy)" in client.get("/jobs", params={"archived": "true"}).text
    text = client.get(f"{JOB}/job.toml").content
    taken = client.post("/jobs/import", files={"file": ("../../etc/passwd", text)})
    assert str(taken.url).endswith("/jobs/demo-hatchback-3/car")


def test_two_who_change_different_readings_both_keep_theirs(engine: Engine) -> None:
    desk = Desk(engine)
    errors: list[Exception] = []

    def change(path: str, text: str) -> None:
        try:
            save_reading(desk, "demo-hatchback", path, text, was=None)
        except Exception as error:
            errors.append(error)

    changes = [("car.cabin.length", "2.5 m"), ("car.cabin.width", "1.5 m"), ("title", "Both")]
    threads = [threading.Thread(target=change, args=each) for each in changes]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    job = desk.jobs.get("demo-hatchback").job
    assert not errors
    assert (job.car.cabin.length_m, job.car.cabin.width_m, job.title) == (2.5, 1.5, "Both")


def test_the_later_of_two_who_change_the_same_reading_is_told(
    client: httpx.Client, engine: Engine
) -> None:
    assert 'class="error"' not in post(client, HEIGHT, "550", was="540 mm").text
    late = post(client, HEIGHT, "560", was="540 mm")
    assert "changed by somebody else" in late.text
    assert "take theirs" in late.text
    assert 'value="560"' in late.text
    assert height(engine) == 0.55
    mine = post(client, HEIGHT, "560", was="550 mm")
    assert 'class="error"' not in mine.text
    assert height(engine) == 0.56


def test_a_clash_says_what_the_other_wrote(engine: Engine) -> None:
    with pytest.raises(ChangedMeanwhileError) as caught:
        save_reading(Desk(engine), "demo-hatchback", HEIGHT, "560 mm", was="1 mm")
    assert caught.value.theirs == "540 mm"


def test_an_edit_that_is_always_overtaken_gives_up_and_says_so(engine: Engine) -> None:
    desk = Desk(engine)
    count = 0

    def overtaken(job: jobs.reading.Job) -> jobs.reading.Job:
        nonlocal count
        count += 1
        stored = desk.jobs.get(job.id)
        desk.jobs.save(job.model_copy(update={"title": f"Other {count}"}), stored.revision)
        return job.model_copy(update={"title": "Mine"})

    with pytest.raises(ConflictError, match="try again"):
        save_edit(desk, "demo-hatchback", overtaken, note="")
    assert desk.jobs.get("demo-hatchback").job.title.startswith("Other")


@pytest.mark.parametrize(
    ("name", "content", "status"),
    [
        ("car.png", b"\x89PNG\r\n\x1a\n" + b"0" * 50, 200),
        ("car.png", b"<svg onload=alert(1)>", 422),
        ("car.html", b"<script>alert(1)</script>", 422),
        ("../../../etc/cron.d/x.png", b"\x89PNG\r\n\x1a\n" + b"1" * 50, 200),
    ],
)
def test_photographs_are_taken_by_their_content_and_names_are_only_names(
    client: httpx.Client, tmp_path: Path, name: str, content: bytes, status: int
) -> None:
    """OWASP ASVS 4.0.3, 12.2.1 and 12.3.1."""
    before = sorted(tmp_path.rglob("*"))
    answer = client.post(f"{JOB}/photos", files={"file": (name, content)})
    assert answer.status_code == status
    assert [path for path in sorted(tmp_path.rglob("*")) if path not in before] == []
    page = client.get(f"{JOB}/car").text
    assert ("/photos/1" in page) == (status == 200)
    if status == 200:
        photo = client.get(f"{JOB}/photos/1")
        assert photo.content == content
        assert photo.headers["content-type"] == "image/png"
        assert photo.headers["x-content-type-options"] == "nosniff"


def test_a_photograph_beyond_the_limit_is_refused(client: httpx.Client) -> None:
    huge = b"\x89PNG\r\n\x1a\n" + b"0" * 21_000_000
    assert client.post(f"{JOB}/photos", files={"file": ("a.png", huge)}).status_code == 413


@pytest.mark.parametrize(
    ("content", "status", "why"),
    [
        (b"not a job", 422, "not TOML"),
        (b"\xff\xfe", 422, "not UTF-8"),
        (b"x" * 1_100_000, 413, "more than 1000000 bytes"),
        (b'id = "a"', 422, "is missing"),
    ],
)
def test_a_file_that_is_no_job_is_refused_in_words(
    client: httpx.Client, engine: Engine, content: bytes, status: int, why: str
) -> None:
    answer = client.post("/jobs/import", files={"file": ("job.toml", content)})
    assert (answer.status_code, why in answer.text) == (status, True)
    assert len(JobStore(engine).list()) == 1


def test_nothing_that_was_confirmed_is_lost_when_the_server_is_killed(
    engine: Engine, tmp_path: Path
) -> None:
    """Readings are sent one after the other; the server is killed among them, at once."""
    port, confirmed = free_port(), 0.0
    program = (
        "import sys, uvicorn; from basswright import database; from basswright.web import app;"
        "uvicorn.run(app(database.connect(sys.argv[1]), warm=False), port=int(sys.argv[2]),"
        " log_level='error')"
    )
    address = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    server = subprocess.Popen(
        [sys.executable, "-c", program, address, str(port)],
        env={**os.environ, "PYTHONPATH": "src"},
    )
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=20) as client:
            _wait_for(client)
            post(client, HEIGHT, "500")
            killer = threading.Timer(0.6, lambda: server.send_signal(signal.SIGKILL))
            killer.start()
            for step in range(100_000):
                value = 500 + step % 80
                try:
                    answer = post(client, HEIGHT, str(value))
                except httpx.HTTPError:
                    break
                assert answer.status_code == 200
                confirmed, last = value / 1000, (501 + step % 80) / 1000
            killer.join()
    finally:
        server.kill()
        server.wait()
    assert confirmed
    kept = height(engine)
    assert kept == pytest.approx(confirmed) or kept == pytest.approx(last)
    assert from_template("suv", job_id="next", title="Next").id == "next"
    JobStore(engine).save(from_template("suv", job_id="next", title="Next"))


def _wait_for(client: httpx.Client) -> None:
    deadline = time.monotonic() + 30
    while True:
        try:
            client.get("/jobs")
        except httpx.HTTPError:
            assert time.monotonic() < deadline
            time.sleep(0.05)
        else:
            return
