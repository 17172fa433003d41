"""Bundle scripts, charts, icons and typeface of the browser pages into the package.

Run by ``build_frontend.sh`` once the locked npm packages are there. Everything lands in
``src/basswright/web/static/vendor``, which is part of the wheel and never committed.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FRONTEND = ROOT / "frontend"
PACKAGES = FRONTEND / "node_modules"
VENDOR = ROOT / "src" / "basswright" / "web" / "static" / "vendor"


def main() -> None:
    """Build everything anew."""
    shutil.rmtree(VENDOR, ignore_errors=True)
    VENDOR.mkdir(parents=True)
    _scripts()
    _charts()
    _icons()
    _typeface()
    _licences()
    stamp = {"sources": source_stamp()}
    (VENDOR / "built.json").write_text(json.dumps(stamp), encoding="utf-8")


def source_stamp() -> str:
    """Return a digest of all that the bundle is made from."""
    files = [*sorted(FRONTEND.glob("*.js*")), Path(__file__)]
    digest = hashlib.sha256()
    for file in files:
        digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()


def _scripts() -> None:
    esbuild = next(PACKAGES.glob("@esbuild/*/bin/esbuild"))
    command = [str(esbuild), "app.js", "viewer.js", "--bundle", "--minify", "--format=esm"]
    command += ["--target=es2022", "--legal-comments=none", f"--outdir={VENDOR}"]
    subprocess.run([*command, "--log-level=warning"], cwd=FRONTEND, check=True)


def _charts() -> None:
    import vl_convert

    bundle = vl_convert.javascript_bundle()
    (VENDOR / "charts.js").write_text(bundle, encoding="utf-8")


def _icons() -> None:
    names = json.loads((FRONTEND / "icons.json").read_text(encoding="utf-8"))
    symbols = []
    for name in sorted(names):
        text = (PACKAGES / "@tabler/icons/icons/outline" / f"{name}.svg").read_text("utf-8")
        paths = re.findall(r"<(?:path|circle|rect|line|polyline|ellipse)[^>]*/>", text)
        kept = "".join(path for path in paths if "M0 0h24v24H0z" not in path)
        symbols.append(f'<symbol id="{name}" viewBox="0 0 24 24">{kept}</symbol>')
    sprite = f'<svg xmlns="http://www.w3.org/2000/svg">{"".join(symbols)}</svg>'
    (VENDOR / "icons.svg").write_text(sprite, encoding="utf-8")


def _typeface() -> None:
    files = PACKAGES / "@fontsource-variable/atkinson-hyperlegible-next/files"
    for part in ("latin", "latin-ext"):
        name = f"atkinson-hyperlegible-next-{part}-wght-normal.woff2"
        shutil.copy(files / name, VENDOR / f"typeface-{part}.woff2")


def _licences() -> None:
    parts = [
        "htmx.org",
        "three",
        "@tabler/icons",
        "@fontsource-variable/atkinson-hyperlegible-next",
    ]
    texts = []
    for part in parts:
        text = (PACKAGES / part / "LICENSE").read_text(encoding="utf-8")
        texts.append(f"{part}\n{'=' * len(part)}\n\n{text}")
    (VENDOR / "LICENCES.txt").write_text("\n\n".join(texts), encoding="utf-8")


if __name__ == "__main__":
    main()
