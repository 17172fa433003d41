"""The job in a real browser: three sizes, keyboard alone, accessibility, no internet.

Accessibility is checked with axe-core by the rules of WCAG 2.2, levels A and AA; target
sizes by its success criterion 2.5.8.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright
from sqlalchemy import Engine

from basswright import database
from basswright.jobs.store import JobStore
from basswright.web import app
from tests.web.conftest import ROOT, Server

SIZES = {"phone": (390, 844), "tablet": (1024, 768), "desktop": (1440, 900)}
JOB = "/jobs/demo-hatchback"
PAGES = (
    "/",
    "/catalogue",
    *(f"{JOB}/{stage}" for stage in ("car", "wish", "options", "system", "proof")),
)
AXE = ROOT / "frontend" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all."""
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield made
        made.close()


class Watch:
    """What a browser asked for and complained about."""

    def __init__(self) -> None:
        self.hosts: set[str] = set()
        self.complaints: list[str] = []

    def attach(self, page: Page) -> None:
        """Watch a page."""
        page.on("request", lambda request: self._asked(request.url))
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _asked(self, address: str) -> None:
        if address.startswith("http"):
            self.hosts.add(urlsplit(address).netloc)

    def _said(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.complaints.append(message.text)


Open = Callable[..., Page]


@pytest.fixture
def watch() -> Watch:
    """What the browser of this test did."""
    return Watch()


@pytest.fixture
def opened(browser: Browser, served: Server, watch: Watch) -> Iterator[Open]:
    """Open pages of the shared server."""
    contexts = []

    def at(path: str, size: str = "desktop", server: Server = served, **more: str) -> Page:
        width, height = SIZES[size]
        context = browser.new_context(
            viewport={"width": width, "height": height},
            base_url=server.address,
            has_touch=size == "phone",
            reduced_motion="reduce",
            color_scheme="dark" if more.get("colours") == "dark" else "light",
        )
        context.set_default_timeout(60_000)
        contexts.append(context)
        page = context.new_page()
        watch.attach(page)
        page.goto(path)
        page.wait_for_selector("html[data-ready]", state="attached")
        return page

    yield at
    for context in contexts:
        context.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", PAGES)
def test_every_page_fits_its_screen_and_asks_nobody_else(
    opened: Open, watch: Watch, served: Server, path: str, size: str
) -> None:
    page = opened(path, size)
    page.wait_for_load_state("networkidle")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "too wide"
    small = page.evaluate(
        """() => [...document.querySelectorAll("a[class], button, select, .pick, summary")]
            .filter(e => e.checkVisibility() && !e.closest(".how"))
            .map(e => [e.textContent.trim().slice(0, 30), e.getBoundingClientRect()])
            .filter(([_, box]) => box.height > 0 && (box.height < 24 || box.width < 24))
            .map(([text]) => text)"""
    )
    assert small == []
    assert watch.hosts == {urlsplit(served.address).netloc}
    assert watch.complaints == []


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing(opened: Open, path: str, colours: str) -> None:
    page = opened(path, "desktop", colours=colours)
    page.wait_for_load_state("networkidle")
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        """async () => {
            const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
            const result = await axe.run({ runOnly: { type: "tag", values: tags } });
            return result.violations.map(v => v.id + ": " +
                v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(" | "));
        }"""
    )
    assert found == []


def test_the_drawing_follows_the_reading_in_focus(opened: Open) -> None:
    page = opened(f"{JOB}/car")
    page.wait_for_selector("#sketch svg")
    before = page.inner_html("#sketch svg")
    page.focus("[data-reading='car.load_space.height']")
    page.wait_for_function(
        "old => document.querySelector('#sketch svg')?.innerHTML !== old", arg=before
    )
    assert "Height" in page.inner_text("#sketch")


def test_on_a_phone_the_drawing_comes_to_the_reading(opened: Open) -> None:
    page = opened(f"{JOB}/car", "phone")
    page.focus("[data-reading='car.load_space.depth_top']")
    page.wait_for_selector("#f-car-load-space-depth-top + #sketch svg")


def test_a_moved_slider_repaints_the_list_and_back_again(opened: Open) -> None:
    page = opened(f"{JOB}/options")
    page.wait_for_selector(".option")
    before = page.inner_text("#answer")
    page.focus("#f-wish-budget-slide")
    for _ in range(12):
        page.keyboard.press("ArrowLeft")
    page.wait_for_selector("text=Only tried")
    assert page.inner_text("#answer") != before
    assert page.evaluate("document.activeElement.id") == "f-wish-budget-slide"
    page.click("text=Back to what is saved")
    page.wait_for_selector(".option")
    assert "Only tried" not in page.inner_text("#answer")


def test_the_view_shows_space_and_box_and_turns_by_keyboard(opened: Open) -> None:
    page = opened(f"{JOB}/system")
    page.wait_for_selector("#system-scene[data-ready]", timeout=60_000)
    corner = page.locator("#system-scene canvas").screenshot()
    page.click('button:text-is("Top")')
    top = page.locator("#system-scene canvas").screenshot()
    page.focus("#system-scene canvas")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    turned = page.locator("#system-scene canvas").screenshot()
    assert len({corner, top, turned}) >= 2
    assert corner != top


def test_charts_are_drawn_and_another_option_can_be_laid_over(opened: Open) -> None:
    page = opened(f"{JOB}/system")
    chart = "#sound [data-chart*='/charts/response']"
    page.locator(chart).scroll_into_view_if_needed()
    page.wait_for_selector(f"{chart}[data-ready] svg path")
    lines = page.locator(f"{chart} svg .mark-line path").count()
    page.select_option("#overlay-pick", index=1)
    page.wait_for_function(
        "([at, n]) => document.querySelectorAll(`${at} svg .mark-line path`).length > n",
        arg=[chart, lines],
    )


def test_light_and_dark_are_chosen_and_remembered(opened: Open) -> None:
    page = opened("/")
    light = page.evaluate("getComputedStyle(document.body.parentElement).backgroundColor")
    page.click("[data-theme-switch]")
    page.goto(f"{JOB}/wish")
    dark = page.evaluate("getComputedStyle(document.body.parentElement).backgroundColor")
    assert light != dark


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Server]:
    """A server over a store that nobody has used; it has a small range to choose from."""
    from basswright.catalogue import demo
    from basswright.catalogue.store import Catalogue

    engine = database.connect(f"sqlite:///{tmp_path / 'new.sqlite'}")
    Catalogue(engine).replace(demo.make(enclosures=160, amplifiers=60).snapshot)
    with Server(app(engine, warm=False)) as server:
        yield server
    engine.dispose()


def test_the_whole_job_by_keyboard_alone(opened: Open, empty: Server, tmp_path: Path) -> None:
    """From a store without jobs to a paper on the disk, without touching a mouse."""
    page = opened("/", server=empty)
    press = page.keyboard.press

    def tab_to(text: str) -> None:
        for _ in range(160):
            press("Tab")
            here = page.evaluate(
                """() => { const e = document.activeElement;
                    if (e === document.body) return "";
                    const label = e.labels?.length ? e.labels[0].textContent : "";
                    return `${label} ${e.textContent} ${e.getAttribute("aria-label") || ""}`; }"""
            )
            if text in here:
                return
        raise AssertionError(f"no way by keyboard to {text!r}")

    tab_to("New job")
    press("Enter")
    page.wait_for_selector("#new-job[open]")
    assert page.evaluate("document.activeElement.id") == "new-title"
    page.keyboard.type("Green estate")
    tab_to("a hatchback")
    press("ArrowRight")
    tab_to("Begin")
    press("Enter")
    page.wait_for_url("**/jobs/green-estate/car")
    page.wait_for_selector("html[data-ready]", state="attached")
    tab_to("Height")
    press("Control+a")
    page.keyboard.type("19 1/4 in")
    press("Tab")
    page.wait_for_selector("#f-car-load-space-height:not(:has(.is-template))")
    assert page.input_value("#f-car-load-space-height-entry") in ("488.9", "489")
    tab_to("Wish")
    press("Enter")
    page.wait_for_url("**/wish")
    page.wait_for_selector("html[data-ready]", state="attached")
    tab_to("Options")
    press("Enter")
    page.wait_for_selector(".option", timeout=120_000)
    tab_to("Look closer")
    press("Enter")
    page.wait_for_url("**/system/**")
    page.wait_for_selector("html[data-ready]", state="attached")
    tab_to("Papers")
    press("Enter")
    page.wait_for_url("**/papers/**", timeout=120_000)
    page.wait_for_selector("html[data-ready]", state="attached")
    with page.expect_download() as download:
        tab_to("Download Quote")
        press("Enter")
    kept = tmp_path / "quote.pdf"
    download.value.save_as(kept)
    assert kept.read_bytes().startswith(b"%PDF-")


def test_two_browsers_on_one_job_lose_nothing(
    opened: Open, engine: Engine, browser: Browser
) -> None:
    with Server(app(engine, warm=False)) as server:
        first = opened(f"{JOB}/car", server=server)
        second = opened(f"{JOB}/car", server=server)

        def write(page: Page, value: str) -> None:
            page.fill("#f-car-load-space-height-entry", value)
            page.keyboard.press("Enter")

        write(first, "550")
        expect(first.locator("#f-car-load-space-height [name=was]")).to_have_value("550 mm")
        write(second, "560")
        second.wait_for_selector("text=changed by somebody else")
        second.click("text=take theirs")
        expect(second.locator("#f-car-load-space-height-entry")).to_have_value("550")
        space = JobStore(engine).get("demo-hatchback").job.car.load_space
        assert space.kind == "hatchback"
        assert space.height_m == 0.55


def test_a_server_that_is_gone_is_told_and_the_text_stays(opened: Open, engine: Engine) -> None:
    with Server(app(engine, warm=False)) as server:
        page = opened(f"{JOB}/car", server=server)
        page.wait_for_load_state("networkidle")
    page.fill("#f-car-load-space-height-entry", "555")
    page.keyboard.press("Tab")
    page.wait_for_selector("#offline:not([hidden])")
    assert page.input_value("#f-car-load-space-height-entry") == "555"


def test_a_slider_pulled_through_many_values_ends_at_the_last(opened: Open) -> None:
    """Values passed on the way are dropped; what follows the list comes for the last one."""
    page = opened(f"{JOB}/options")
    page.wait_for_selector(".option")
    page.wait_for_load_state("networkidle")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate(
        """async () => {
            const slider = document.getElementById("f-wish-budget-slide");
            for (let i = 0; i < 40; i++) {
                slider.value = Number(slider.max) - 20 * i;
                slider.dispatchEvent(new Event("input", { bubbles: true }));
                await new Promise(resolve => setTimeout(resolve, 2));
            }
        }"""
    )
    last = page.input_value("#f-wish-budget-slide")
    page.wait_for_selector(f"text=budget {last}")
    with page.expect_response(lambda reply: "/options/rest" in reply.url) as rest:
        page.wait_for_load_state("networkidle")
    assert f"wish.budget={last}" in rest.value.url
    page.wait_for_selector("#rest:not(.is-stale)")
    assert f"budget {last}" in page.inner_text("#answer")
    assert sum("/options/list" in each for each in asked) < 40


def test_the_box_is_looked_through_and_its_air_shown_and_hidden(opened: Open) -> None:
    page = opened(f"{JOB}/system")
    page.wait_for_selector(".scene-lines span", state="attached")
    assert page.locator(".scene-lines span.is-deciding").count() >= 1
    gaps = [text.split("\t")[1] for text in page.locator("#place tbody tr").all_inner_texts()]
    shown = page.locator(".scene-lines span").all_inner_texts()
    assert set(shown) == {gap for gap in gaps if gap != "0 mm"}
    solid = page.locator("#system-scene canvas").screenshot()
    page.click("text=See through")
    assert page.locator("#system-scene canvas").screenshot() != solid
    assert page.get_attribute("[data-glass]", "aria-pressed") == "true"
    page.click("text=Air in mm")
    expect(page.locator(".scene-lines")).to_be_hidden()


def test_a_sheet_is_taken_in_by_a_person(opened: Open, empty: Server, tmp_path: Path) -> None:
    from tests.web.test_catalogue import SHEET

    sheet = tmp_path / "Spring list.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    page = opened("/", server=empty)
    page.click("text=Catalogue")
    page.set_input_files("#sheet-file", str(sheet))
    page.fill("#sheet-supplier", "Demo Trade")
    page.click("text=Look at it")
    for head, target, unit in (
        ("C7", "id", ""),
        ("C11", "shape.height", "mm"),
        ("C16", "price", ""),
    ):
        page.select_option(f"select[aria-label='{head} tells']", target)
        page.fill(f"input[aria-label='{head}, unit']", unit)
    page.click("text=Read every row")
    page.wait_for_selector("text=What becomes of its rows")
    with page.expect_download() as download:
        page.click("text=Report for the supplier")
    assert "missing" in Path(download.value.path()).read_text(encoding="utf-8-sig")
    page.click("text=Take in the 36 good rows")
    page.wait_for_selector("text=36 new")


def test_a_scan_and_a_photograph_are_dropped_in_and_undone(
    opened: Open, empty: Server, tmp_path: Path
) -> None:
    from PIL import Image

    from tests.web.test_scan import boot

    page = opened("/", server=empty)
    page.click("text=New job")
    page.fill("#new-title", "Blue car")
    page.click("text=Begin")
    page.wait_for_url("**/jobs/blue-car/car")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.evaluate(
        """([bytes]) => {
            const carried = new DataTransfer();
            carried.items.add(new File([new Uint8Array(bytes)], "boot.stl"));
            const form = document.getElementById("scan").form;
            for (const name of ["dragover", "drop"])
                form.dispatchEvent(new DragEvent(name, { dataTransfer: carried, bubbles: true,
                    cancelable: true }));
        }""",
        [list(boot())],
    )
    page.click("text=Use the scan")
    page.wait_for_selector("#f-car-load-space-kind-entry")
    assert page.input_value("#f-car-load-space-kind-entry") == "scan"
    picture = tmp_path / "boot.jpg"
    Image.new("RGB", (64, 48), (90, 120, 80)).save(picture)
    page.set_input_files("#photo", str(picture))
    page.click("text=Keep it")
    page.wait_for_selector(".photos img[alt='boot.jpg']", state="attached")
    page.click("#undo button")
    page.wait_for_function(
        "document.getElementById('f-car-load-space-kind-entry')?.value != 'scan'"
    )
    assert page.locator(".photos img").count() == 1


def test_jobs_are_searched_copied_put_away_and_taken_out_again(opened: Open, empty: Server) -> None:
    page = opened("/", server=empty)
    page.click("text=New job")
    page.fill("#new-title", "Blue car")
    page.click("text=Begin")
    page.wait_for_url("**/jobs/blue-car/car")
    page.goto("/")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.click("text=Copy Blue car")
    page.wait_for_url("**/jobs/blue-car-2/car")
    page.goto("/")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.fill("#search", "copy")
    expect(page.locator("article.job h3")).to_have_text(["Blue car (copy)"])
    page.fill("#search", "no such words")
    page.wait_for_selector("text=No job has these words in it.")
    page.fill("#search", "copy")
    page.click("text=Put away: Blue car (copy)")
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("article.job h3")).to_have_text(["Blue car"])
    page.check("input[name=archived]", force=True)
    page.click("text=Take out again: Blue car (copy)")
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("article.job h3")).to_have_count(2)
