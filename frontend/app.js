// Everything that the pages do beyond plain HTML: htmx, the light/dark choice, sliders
// that tell their value, charts and the 3-D view once they come into sight.
import htmx from "htmx.org/dist/htmx.esm.js";

const root = document.documentElement;

// light or dark -------------------------------------------------------------------------
function applyTheme(theme) {
  if (theme) root.dataset.theme = theme;
  else delete root.dataset.theme;
  for (const button of document.querySelectorAll("[data-theme-switch]")) {
    button.setAttribute("aria-pressed", String(isDark()));
  }
  document.dispatchEvent(new CustomEvent("theme"));
}
const isDark = () =>
  root.dataset.theme
    ? root.dataset.theme === "dark"
    : matchMedia("(prefers-color-scheme: dark)").matches;

function remember(key, value) {
  try {
    localStorage.setItem(key, value);
  } catch {
    // private browsing: the choice lasts for this page only
  }
}
function recall(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}
applyTheme(recall("theme"));

document.addEventListener("click", (event) => {
  const target = event.target.closest("[data-theme-switch],[data-close],[data-open],[data-shut]");
  if (!target) return;
  if (target.matches("[data-theme-switch]")) {
    const next = isDark() ? "light" : "dark";
    remember("theme", next);
    applyTheme(next);
  } else if (target.matches("[data-close]")) {
    target.closest(".notice")?.remove();
  } else if (target.matches("[data-open]")) {
    document.getElementById(target.dataset.open)?.showModal();
  } else {
    target.closest("dialog")?.close();
  }
});

// sliders tell their value while they move ------------------------------------------------
document.addEventListener("input", (event) => {
  const slider = event.target;
  if (slider.type !== "range") return;
  tell(slider);
});
function tell(slider) {
  const output = document.getElementById(`${slider.id}-told`);
  const share = (slider.value - slider.min) / (slider.max - slider.min || 1);
  slider.style.setProperty("--share", share);
  if (!output) return;
  const value = Number(slider.value);
  const text = `${value.toLocaleString(root.lang || "en")} ${slider.dataset.unit || ""}`.trim();
  output.textContent = text;
  slider.setAttribute("aria-valuetext", text);
}

// what follows the head of a list is out of date until it comes again -----------------------
const rest = () => document.getElementById("rest");
document.addEventListener("list-moved", () => rest()?.classList.add("is-stale"));
document.addEventListener("htmx:finally:request", ({ detail }) => {
  if (detail.ctx?.sourceElement === rest()) rest()?.classList.remove("is-stale");
});

// charts and 3-D views load when they come into sight --------------------------------------
const seen = new IntersectionObserver(
  (entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      seen.unobserve(entry.target);
      wake(entry.target);
    }
  },
  { rootMargin: "200px" },
);

async function wake(element) {
  if (element.matches("[data-chart]")) await draw(element);
  else if (element.matches("[data-scene]")) await look(element);
}

let charts;
function chartParts() {
  charts ??= new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.type = "module";
    script.src = root.dataset.vendor + "/charts.js";
    script.onload = () => resolve(window.vegaEmbed);
    script.onerror = reject;
    document.head.append(script);
  });
  return charts;
}

const drawn = new WeakMap();
async function draw(element) {
  try {
    const [embed, reply] = await Promise.all([chartParts(), fetch(element.dataset.chart)]);
    if (!reply.ok) throw new Error(await reply.text());
    const spec = await reply.json();
    drawn.set(element, spec);
    await paint(embed, element, spec);
  } catch (error) {
    element.textContent = "This chart could not be drawn. Its figures stand in the table below.";
    element.classList.add("is-broken");
    console.warn(error);
  }
}
async function paint(embed, element, spec) {
  const style = getComputedStyle(root);
  const colour = (name) => style.getPropertyValue(name).trim();
  const text = JSON.stringify(spec).replaceAll("#1c2529", colour("--ink"));
  spec = JSON.parse(text.replaceAll("#000000", colour("--ink")));
  const own = {
    background: "transparent",
    font: style.getPropertyValue("--font").trim(),
    axis: {
      labelColor: colour("--ink-soft"), titleColor: colour("--ink"), gridColor: colour("--line"),
      domainColor: colour("--ink-soft"), tickColor: colour("--ink-soft"),
      labelFontSize: 13, titleFontSize: 13, titleFontWeight: 500,
    },
    legend: {
      labelColor: colour("--ink"), titleColor: colour("--ink-soft"), labelFontSize: 13,
      orient: "bottom", labelLimit: 260, columns: element.clientWidth < 560 ? 1 : 3,
    },
    title: { color: colour("--ink"), anchor: "start" },
    text: { color: colour("--ink") },
    view: { stroke: "transparent" },
  };
  const result = await embed(element, { ...spec, config: { ...spec.config, ...own } }, {
    ast: true, actions: false, renderer: "svg", defaultStyle: false,
    tooltip: { disableDefaultStyle: true },
  });
  const svg = element.querySelector("svg");
  svg?.setAttribute("aria-hidden", "true");
  element.dataset.ready = "yes";
  return result;
}
document.addEventListener("theme", async () => {
  if (!charts) return;
  const embed = await charts;
  for (const element of document.querySelectorAll("[data-chart]")) {
    const spec = drawn.get(element);
    if (spec) await paint(embed, element, spec);
  }
});

const views = new WeakMap();
async function look(element) {
  try {
    const { Viewer } = await import(/* @vite-ignore */ root.dataset.vendor + "/viewer.js");
    const viewer = new Viewer(element);
    views.set(element, viewer);
    await viewer.load(element.dataset.scene);
  } catch (error) {
    element.classList.add("is-broken");
    console.warn(error);
  }
}

// the 3-D views follow what is typed, saved, or moved ---------------------------------------
function reload(element, values = {}) {
  const url = new URL(element.dataset.scene, location.href);
  for (const [name, value] of Object.entries(values)) url.searchParams.set(name, value);
  url.searchParams.set("again", Date.now());
  views.get(element)?.load(url.href).catch(() => {});
}
const spaces = () => document.querySelectorAll("#space-scene");
document.addEventListener("space-changed", () => spaces().forEach((element) => reload(element)));
document.addEventListener("space-tried", ({ detail }) =>
  spaces().forEach((element) => reload(element, { path: detail.path, value: detail.value })),
);
let moving;
document.addEventListener("input", (event) => {
  const { moves, unit } = event.target.dataset ?? {};
  if (!moves) return;
  clearTimeout(moving);
  const share = unit === "cu ft" ? 0.3048 ** 3 : 0.001;
  const keep = Math.min(5, event.target.value * share);
  moving = setTimeout(() => reload(document.getElementById(moves), { keep }), 60);
});

// the drawing shows the reading that has the focus ------------------------------------------
let sketched = "";
document.addEventListener("focusin", ({ target }) => {
  const at = target.dataset?.reading;
  const sketch = document.getElementById("sketch");
  if (!at || !sketch) return;
  const home = document.getElementById("sketch-home");
  const narrow = matchMedia("(max-width: 40rem)").matches;
  const place = narrow ? target.closest(".field").parentElement : home;
  if (narrow) target.closest(".field").after(sketch);
  else if (sketch.parentElement !== place) place.append(sketch);
  if (at === sketched) return;
  sketched = at;
  const address = `${sketch.dataset.from}?at=${encodeURIComponent(at)}`;
  htmx.ajax("GET", address, { target: "#sketch", swap: "innerHTML" });
});

// another option laid over the curves ---------------------------------------------------------
document.addEventListener("change", async ({ target }) => {
  const own = target.dataset?.overlay;
  if (!own) return;
  for (const element of document.querySelectorAll("#sound [data-chart]")) {
    const url = new URL(element.dataset.chart, location.href);
    url.searchParams.delete("option");
    for (const option of [own, target.value]) if (option) url.searchParams.append("option", option);
    element.dataset.chart = url.pathname + url.search;
    if (drawn.has(element)) await draw(element);
  }
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-view]");
  if (!button) return;
  const viewer = views.get(document.getElementById(button.dataset.for));
  viewer?.turn(button.dataset.view);
});

// messages that go away by themselves stay long enough to be read --------------------------
function notices(node) {
  for (const notice of node.querySelectorAll?.(".notice[data-fades]") ?? []) {
    setTimeout(() => notice.remove(), 9000);
  }
}

function attend(node) {
  if (node.nodeType !== 1) return;
  for (const element of node.querySelectorAll("[data-chart],[data-scene]")) {
    if (!element.dataset.watched) {
      element.dataset.watched = "yes";
      seen.observe(element);
    }
  }
  for (const slider of node.querySelectorAll("input[type=range]")) tell(slider);
  notices(node);
}
new MutationObserver((changes) => {
  for (const change of changes) change.addedNodes.forEach(attend);
}).observe(document.body, { childList: true, subtree: true });
attend(document.body);

// a server that cannot be reached is told, and the typed text stays ---------------------------
document.addEventListener("htmx:error", () => {
  const line = document.getElementById("offline");
  if (line) line.hidden = false;
});
document.addEventListener("htmx:after:request", () => {
  const line = document.getElementById("offline");
  if (line) line.hidden = true;
});

// on a phone the list comes first, and the sliders when they are asked for
if (matchMedia("(max-width: 40rem)").matches) {
  for (const fold of document.querySelectorAll("[data-fold]")) fold.open = false;
}

root.dataset.ready = "yes";
export default htmx;
