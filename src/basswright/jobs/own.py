"""What a workshop puts on every paper of its own: kept once, taken into every new job."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from basswright.errors import InputErrors
from basswright.jobs.keys import keys_of
from basswright.jobs.reading import decoded, raw_table
from basswright.jobs.shapes import Table
from basswright.jobs.table import build, read_table
from basswright.records.job import LabourTimes, Workshop

#: Names of what is kept, in the folder of the workshop's own data.
FILE: Final = "workshop.toml"
LOGO: Final = "workshop-logo"


def own_workshop(folder: Path) -> Workshop:
    """Return the workshop's own settings; the usual ones where none were kept.

    Raises
    ------
    InputErrors
        The kept file was changed to something that cannot be used.
    """
    return _read(_kept(folder))


def keep_workshop(folder: Path, changes: Mapping[str, object]) -> Workshop:
    """Keep some settings, each as a job file's `[workshop]` takes it, and return all.

    Raises
    ------
    InputErrors
        What is wrong with them; nothing is kept then.
    """
    raw = {**_kept(folder), **changes}
    workshop = _read(raw)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / FILE).write_text(
        "\n".join([*lines(workshop), *_times(workshop, "labour")]) + "\n", encoding="utf-8"
    )
    return workshop


def own_logo(folder: Path) -> str:
    """Return the workshop's logo as it was kept; empty where there is none."""
    file = folder / LOGO
    return file.read_text(encoding="utf-8") if file.exists() else ""


def keep_logo(folder: Path, logo: str) -> None:
    """Keep a checked logo; an empty one takes it away."""
    folder.mkdir(parents=True, exist_ok=True)
    if logo:
        (folder / LOGO).write_text(logo, encoding="utf-8")
    else:
        (folder / LOGO).unlink(missing_ok=True)


def with_own_workshop(text: str, workshop: Workshop) -> str:
    """Return the text of a job file with these settings in its `[workshop]` table.

    Remarks and everything else stay as they are.
    """
    head, found, tail = text.partition("\n[workshop]\n")
    if not found:
        head, tail = text.rstrip("\n") + "\n", ""
    own, after, rest = tail.partition("\n[")
    times = _times(workshop, "workshop.labour") if "[workshop.labour]" not in text else []
    for line in lines(workshop):
        own = _with_line(own, line)
    written = f"{head}\n[workshop]\n{own.lstrip(chr(10))}{after}{rest}"
    return written.rstrip("\n") + "\n" + "".join(f"{line}\n" for line in times)


def _with_line(table: str, line: str) -> str:
    """Return a table with a setting in the place of its own line, or as a new one."""
    key = line.partition(" =")[0]
    pattern = rf"(?m)^{key} = (\"[^\"]*\"|[^#\n]*?)(?=\s*(#.*)?$)"
    found = re.search(pattern, table)
    if found is None:
        return table.rstrip("\n") + f"\n{line}\n"
    return table[: found.start()] + line + table[found.end() :]


def _kept(folder: Path) -> dict[str, object]:
    file = folder / FILE
    return raw_table(decoded(file.read_bytes(), FILE), item=FILE) if file.exists() else {}


def _read(raw: Mapping[str, object]) -> Workshop:
    reading = read_table(Workshop, raw, set())
    workshop, refused = build(Workshop, reading.tree)
    problems = [*reading.problems, *refused]
    if problems or workshop is None:
        raise InputErrors(problems, item="workshop")
    return workshop


def lines(workshop: Workshop) -> list[str]:
    """Return one line a setting, as a job file has them."""
    return [
        f"{key.key} = {key.shape.write(getattr(workshop, key.field))}"
        for key in keys_of(Workshop)
        if not isinstance(key.shape, Table)
    ]


def _times(workshop: Workshop, table: str) -> list[str]:
    """Return the times for labour as a table, where they are not the usual ones."""
    if workshop.labour == LabourTimes():
        return []
    keys = keys_of(LabourTimes)
    lines = [f"{key.key} = {key.shape.write(getattr(workshop.labour, key.field))}" for key in keys]
    return ["", f"[{table}]", *lines]
