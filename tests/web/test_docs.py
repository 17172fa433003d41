"""The pages on the browser and on its look say what is there."""

from __future__ import annotations

import re
from pathlib import Path

from basswright.web import words

ROOT = Path(__file__).parents[2]
LOOK = (ROOT / "src/basswright/web/static/look.css").read_text(encoding="utf-8")


def test_the_tokens_of_the_design_system_are_those_of_the_style_sheet() -> None:
    text = (ROOT / "docs/design-system.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`(--[a-z-]+\d?)`", text))
    assert named
    for token in named:
        assert f"{token}:" in LOOK, token
    for colour in re.findall(r"#[0-9a-f]{6}", text):
        assert colour in LOOK, colour


def test_every_stage_and_address_of_the_interface_is_told() -> None:
    text = (ROOT / "docs/web.md").read_text(encoding="utf-8")
    for _, name, _ in words.STAGES:
        assert f"| {name} |" in text
    assert "/api/openapi.json" in text


def test_text_stands_out_from_its_ground() -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1; relative luminance as defined there."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = LOOK.split("@media (prefers-color-scheme: dark)")[:2]
    for sheet in (light, dark):
        token = dict(re.findall(r"(--[a-z-]+): (#[0-9a-f]{6})", sheet))
        pairs = [(f"--{kind}", f"--{kind}-soft") for kind in ("good", "warn", "bad")]
        pairs += [
            (ink, ground)
            for ink in ("--ink", "--ink-soft", "--act", "--bad", "--good")
            for ground in ("--paper", "--sheet", "--sunk")
        ]
        pairs += [("--tape-ink", "--tape"), ("--act-ink", "--act")]
        for front, ground in pairs:
            one, other = sorted((luminance(token[front]), luminance(token[ground])))
            assert (other + 0.05) / (one + 0.05) >= 4.5, (front, ground)
