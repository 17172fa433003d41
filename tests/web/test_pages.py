"""Every page of a job, and what it refuses."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

import httpx
import pytest
from sqlalchemy import Engine

from basswright import jobs
from basswright.web import app, words
from tests.web.conftest import client_of

JOB = "/jobs/demo-hatchback"


class Tags(HTMLParser):
    """Collects tags, ids and texts of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag."""
        self.tags.append((tag, dict(attrs)))
        self.ids += [value for name, value in attrs if name == "id" and value]


def tags_of(html: str) -> Tags:
    """Return the tags of a page."""
    found = Tags()
    found.feed(html)
    return found


@pytest.mark.parametrize(
    "path",
    [
        "/",
        *(f"{JOB}/{stage}" for stage, _, _ in words.STAGES),
        f"{JOB}/compare",
        f"{JOB}/tradeoffs",
        f"{JOB}",
    ],
)
def test_every_page_is_whole(shared: httpx.Client, path: str) -> None:
    answer = shared.get(path)
    assert answer.status_code == 200, answer.text[:300]
    page = tags_of(answer.text)
    assert len(page.ids) == len(set(page.ids)), "an id stands twice"
    assert [tag for tag, _ in page.tags].count("h1") == 1
    assert any(tag == "main" for tag, _ in page.tags)
    assert 'lang="en"' in answer.text
    for tag, attributes in page.tags:
        assert "onclick" not in attributes
        assert "style" not in attributes or tag == "svg", attributes
        source = attributes.get("src") or attributes.get("href") or ""
        assert not source.startswith(("http:", "https:", "//")), source


def test_the_stages_are_the_same_six_words_and_the_present_one_is_marked(
    shared: httpx.Client,
) -> None:
    names = [name for _, name, _ in words.STAGES]
    assert names == ["Car", "Wish", "Options", "System", "Papers", "Proof"]
    text = shared.get(f"{JOB}/wish").text
    marked = [a for tag, a in tags_of(text).tags if a.get("aria-current") == "step"]
    assert [mark["href"] for mark in marked] == [f"{JOB}/wish"]


def test_a_newcomer_sees_a_worked_job(shared: httpx.Client) -> None:
    assert "A worked job" in shared.get("/").text
    worked = shared.get("/worked").text
    assert "See the options" in worked
    assert "scene.glb" in worked


def test_options_show_reasons_prices_curves_and_what_was_left_out(shared: httpx.Client) -> None:
    answer = shared.get(f"{JOB}/options/list")
    assert "Why this one" in answer.text
    assert answer.text.count('class="spark"') >= 3
    assert "EUR" in answer.text
    assert json.loads(answer.headers["HX-Trigger"]) == {"list-moved": {"target": "#rest"}}
    assert "What was left out" in shared.get(f"{JOB}/options/rest").text


def test_what_follows_the_list_belongs_to_the_same_wish(shared: httpx.Client) -> None:
    """The rest tells of the tried wish: a budget of nothing leaves out every box."""
    rest = shared.get(f"{JOB}/options/rest", params={"wish.budget": "1"}).text
    bars = dict(re.findall(r'<span>([^<]+)</span><span class="number">(\d+)', rest))
    assert next(count for title, count in bars.items() if "udget" in title) == "240"
    assert "Worth measuring again" not in rest


def test_a_moved_slider_is_tried_and_not_saved(shared: httpx.Client) -> None:
    before = shared.get(f"{JOB}/job.toml").text
    tried = shared.get(f"{JOB}/options/list", params={"wish.budget": "500", "wish.level": "108"})
    assert "Only tried" in tried.text
    assert "budget 500" in tried.text
    assert "108 dB" in tried.text
    assert shared.get(f"{JOB}/job.toml").text == before


def test_a_wish_that_nothing_meets_shows_what_comes_nearest(shared: httpx.Client) -> None:
    answer = shared.get(f"{JOB}/options/list", params={"wish.level": "150"})
    assert "No system meets every wish" in answer.text
    assert 'class="sheet option"' in answer.text


def test_nonsense_in_the_address_is_left_out(shared: httpx.Client) -> None:
    answer = shared.get(
        f"{JOB}/options/list",
        params={"wish.budget": "lots", "car.origins": "x", "id": "other", "wish.weights": "1"},
    )
    assert answer.status_code == 200
    assert "Only tried" not in answer.text


def test_a_system_shows_fit_sound_supply_costs_and_inputs(shared: httpx.Client) -> None:
    text = shared.get(f"{JOB}/system").text
    for heading in ("How it sits", "Drawn to scale", "Sound", "Amplifier", "Supply", "Costs"):
        assert f">{heading}<" in text
    assert "estimated" in text
    assert "from a template" not in text


def test_what_decides_shows_power_load_room_cone_and_kind(shared: httpx.Client) -> None:
    listed = shared.get(f"/api{JOB}/options").json()["options"]
    fed = next(each["id"] for each in listed if each["amplifier"])
    page = shared.get(f"{JOB}/tradeoffs", params={"option": fed}).text
    for told in ("Half the power", "other total loads", "keeps boxes out", "Cone size", "bandpass"):
        assert told in page
    second = shared.get(f"{JOB}/options").text
    assert f"{JOB}/tradeoffs" in second
    answer = shared.get(f"/api{JOB}/options/1/tradeoffs").json()
    assert [step["share"] for step in answer["power"]] == [0.25, 0.5, 1, 2, 4]
    assert shared.get(f"{JOB}/tradeoffs", params={"option": "nonesuch"}).status_code == 404


def test_a_low_limit_at_the_ends_of_the_range_says_so() -> None:
    """The grid of the search ends at 15.8 Hz; from 79.4 Hz upwards nothing is held."""
    assert words.low_limit(15.8) == "≤ 16 Hz"
    assert words.low_limit(27.6) == "28 Hz"
    assert words.low_limit(79.5) == "not held"


@pytest.mark.parametrize("name", ["response", "limits", "excursion", "impedance", "delay", "cabin"])
def test_charts_are_data_alone(shared: httpx.Client, name: str) -> None:
    option = shared.get("/api/jobs/demo-hatchback/options").json()["options"][0]["id"]
    chart = shared.get(f"{JOB}/charts/{name}", params={"option": option})
    assert chart.status_code == 200
    assert chart.json()["width"] == "container"
    assert "http" not in chart.text.replace(chart.json().get("$schema", ""), "")


def test_a_model_of_space_and_box_is_binary_gltf(shared: httpx.Client) -> None:
    """glTF 2.0, 4.4.2: a binary file begins with the magic "glTF" and version 2."""
    option = shared.get("/api/jobs/demo-hatchback/options").json()["options"][0]["id"]
    for path in ("space.glb", "keep.glb", f"system/{option}/scene.glb"):
        content = shared.get(f"{JOB}/{path}").content
        assert content[:4] == b"glTF"
        assert int.from_bytes(content[4:8], "little") == 2


def test_more_luggage_raises_the_level_in_the_model(shared: httpx.Client) -> None:
    low = shared.get(f"{JOB}/keep.glb", params={"keep": "0.05"}).content
    high = shared.get(f"{JOB}/keep.glb", params={"keep": "0.25"}).content
    none = shared.get(f"{JOB}/keep.glb", params={"keep": "0"}).content
    assert len({low, high, none}) == 3
    assert len(none) < len(low)


def test_drawings_are_pictures_in_which_nothing_can_run(shared: httpx.Client) -> None:
    option = shared.get("/api/jobs/demo-hatchback/options").json()["options"][0]["id"]
    answer = shared.get(f"{JOB}/system/{option}/plan.svg")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "script-src" not in answer.headers["Content-Security-Policy"]


def test_the_job_file_is_the_terminals(shared: httpx.Client) -> None:
    answer = shared.get(f"{JOB}/job.toml")
    assert jobs.parse_job(answer.text) == jobs.parse_job(jobs.sample_text())
    assert 'filename="demo-hatchback.toml"' in answer.headers["content-disposition"]


def test_papers_can_be_opened_and_taken_along(shared: httpx.Client) -> None:
    page = shared.get(f"{JOB}/papers")
    assert page.text.count("Download") >= 4
    option = str(page.url).rsplit("/", 1)[1]
    quote = shared.get(f"{JOB}/papers/{option}/quote.pdf")
    assert quote.content.startswith(b"%PDF-")
    assert shared.get(f"{JOB}/papers/{option}/all.zip").content.startswith(b"PK\x03\x04")


@pytest.mark.parametrize(
    "path",
    [
        "/jobs/nothing/car",
        "/jobs/nothing/options",
        f"{JOB}/system/nothing",
        f"{JOB}/papers/nothing",
        f"{JOB}/charts/nothing?option=x",
        f"{JOB}/photos/7",
        "/static/../../pyproject.toml",
        "/static/%2e%2e/%2e%2e/pyproject.toml",
        f"{JOB}/papers/1/..%2f..%2fetc%2fpasswd",
        "/..%2f..%2fetc%2fpasswd",
        "/docs",
        "/redoc",
    ],
)
def test_what_is_not_there_is_told_in_words(shared: httpx.Client, path: str) -> None:
    answer = shared.get(path)
    assert answer.status_code == 404
    assert "Traceback" not in answer.text
    assert "root:" not in answer.text


@pytest.mark.parametrize("path", ["/jobs?archived=perhaps", f"{JOB}/keep.glb?keep=inf"])
def test_a_request_that_makes_no_sense_is_told_in_words(shared: httpx.Client, path: str) -> None:
    answer = shared.get(path)
    assert answer.status_code == 422
    assert "Traceback" not in answer.text


def test_scripts_and_styles_may_be_kept_and_pages_not(shared: httpx.Client) -> None:
    text = shared.get("/").text
    style = next(
        a["href"] for tag, a in tags_of(text).tags if tag == "link" and a["rel"] == "stylesheet"
    )
    assert "immutable" in shared.get(str(style)).headers["cache-control"]
    assert shared.get("/").headers["cache-control"] == "no-store"


def test_side_by_side_tells_the_room_of_the_dimension_that_decides(shared: httpx.Client) -> None:
    """The floor, on which every box stands, is no gap."""
    options = shared.get("/api/jobs/demo-hatchback/options").json()["options"][:2]
    text = shared.get(f"{JOB}/compare", params={"option": [each["id"] for each in options]}).text
    row = text.split("Room to spare", 1)[1].split("</tr>", 1)[0]
    for option in options:
        room = next(v["margin"] for v in option["placement"]["verdicts"] if v["rule"] == "space")
        assert f"{room:.0f} mm" in row


def test_something_unforeseen_is_told_in_a_sentence_without_the_inside(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = app(engine, warm=False)

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr(made.state.desk.jobs, "list", broken)
    monkeypatch.setattr(made.state.desk.jobs, "search", broken)
    with client_of(made) as client:
        # the server ends a connection on which it failed; the next request takes a new one
        client.headers["Connection"] = "close"
        page, answer = client.get("/"), client.get("/api/jobs")
    assert page.status_code == answer.status_code == 500
    assert "Nothing that was saved is lost" in page.text
    assert answer.json()["error"] == "Unexpected"
    for text in (page.text, answer.text):
        assert "secret inside" not in text
        assert "RuntimeError" not in text
