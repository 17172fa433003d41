"""How long after a slider is moved is the new list on the screen?

Serves the demo range, grown to 20,000 boxes, from a process of its own, and moves the
sliders of the options page in a real Chromium, one step at a time and in one long pull.
The clock starts at the input event in the page and stops at the first frame that is drawn
after the list was put in; the parts are told by the browser itself (Resource Timing, Level
Timing) and by the server's own processor time. One run of `python -m benchmarks.slider`
prints them side by side.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import psutil
from playwright.sync_api import Page, sync_playwright

from benchmarks import web

JOB = web.JOB
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
MOVES = 40
#: Dotted key of the slider, where it begins, and one step.
SLIDERS = (
    ("wish.budget", 2000.0, -20.0),
    ("wish.luggage_keep", 100.0, 5.0),
    ("wish.level", 104.0, 0.5),
    ("wish.low_limit", 26.0, 0.5),
    ("wish.weights.price", 0.5, 0.5),
)

_WATCH = """
() => {
  window.moves = [];
  window.move = (id, value) => new Promise((resolve, reject) => {
    const slider = document.getElementById(id), answer = document.getElementById("answer");
    const slow = setTimeout(() => reject(new Error("no new list")), 20000);
    performance.clearResourceTimings();
    const begun = performance.now();
    document.addEventListener("htmx:after:swap", function swapped({detail}) {
      if (detail.ctx.sourceElement.id !== "wishes") return;
      document.removeEventListener("htmx:after:swap", swapped);
      const put = performance.now();
      requestAnimationFrame(() => {
        const channel = new MessageChannel();  // runs after the frame is drawn
        channel.port1.onmessage = () => {
          clearTimeout(slow);
          const asked = performance.getEntriesByType("resource")
            .filter(e => e.name.includes("/options/list")).at(-1);
          resolve({ all: performance.now() - begun, until: asked.requestStart - begun,
            server: asked.responseStart - asked.requestStart,
            swap: put - asked.responseEnd, paint: performance.now() - put,
            bytes: asked.decodedBodySize });
        };
        channel.port2.postMessage(0);
      });
    });
    slider.value = value;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
"""

_PULL = """
async ([id, first, step, count]) => {
  const slider = document.getElementById(id);
  let lists = 0, asked = 0;
  const swapped = ({detail}) => { if (detail.ctx.sourceElement.id === "wishes") lists += 1; };
  const before = ({detail}) => { if (detail.ctx.sourceElement.id === "wishes") asked += 1; };
  document.addEventListener("htmx:after:swap", swapped);
  document.addEventListener("htmx:before:request", before);
  for (let i = 0; i < count; i++) {
    slider.value = first + i * step;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise(resolve => setTimeout(resolve, 16));
  }
  const begun = performance.now();
  while (lists < asked) await new Promise(resolve => setTimeout(resolve, 4));
  return { lists, asked, last: performance.now() - begun };
}
"""


def main() -> None:
    """Print a table of times from the move of a slider to the drawn list."""
    with tempfile.TemporaryDirectory() as folder:
        store = f"sqlite:///{Path(folder) / 'shop.sqlite'}"
        web._fill(store)
        server = subprocess.Popen([sys.executable, "-c", web._SERVER, store, str(web.PORT)])
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
                )
                page = browser.new_page(viewport={"width": 1024, "height": 768})
                page.set_default_timeout(600_000)
                _measure(page, psutil.Process(server.pid))
                browser.close()
        finally:
            server.terminate()
            server.wait()


def _measure(page: Page, server: psutil.Process) -> None:
    _opened(page)
    print("from move to drawn list, 20,000 boxes, ms   median   95 %    server  swap  paint   CPU")
    for path, first, step in SLIDERS:
        slider = f"f-{path.replace('.', '-').replace('_', '-')}-slide"
        page.evaluate("id => document.getElementById(id).closest('details').open = true", slider)
        moves: list[dict[str, Any]] = []
        before = sum(server.cpu_times()[:2])
        for i in range(MOVES):
            moves.append(page.evaluate("a => window.move(...a)", [slider, first + i * step]))
        spent = 1000 * (sum(server.cpu_times()[:2]) - before) / MOVES
        all_ms = [each["all"] for each in moves]
        parts = [statistics.median(each[part] for each in moves) for part in _PARTS]
        print(
            f"  {path:40s} {statistics.median(all_ms):8.0f} {_p95(all_ms):7.0f}  "
            + "".join(f"{part:7.0f}" for part in parts)
            + f" {spent:6.0f}"
        )
    for path, first, step in SLIDERS[:3]:
        slider = f"f-{path.replace('.', '-').replace('_', '-')}-slide"
        told = page.evaluate(_PULL, [slider, first, step / 2, 120])
        print(
            f"  pulled through 120 values in 2 s: {path:14s} {told['lists']} lists drawn, "
            f"the last {told['last']:.0f} ms after the hand stops"
        )


_PARTS = ("server", "swap", "paint")


def _opened(page: Page) -> None:
    import time

    import httpx

    with httpx.Client(base_url=f"http://127.0.0.1:{web.PORT}", timeout=600) as client:
        web._wait(client)
    time.sleep(1.0)
    page.goto(f"http://127.0.0.1:{web.PORT}{JOB}/options")
    page.wait_for_selector(".option")
    page.wait_for_load_state("networkidle")
    page.evaluate(_WATCH)


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]


if __name__ == "__main__":
    main()
