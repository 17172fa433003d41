"""Write the generated parts of the documentation again, from the program itself."""

from __future__ import annotations

from pathlib import Path

from basswright.jobs.reference import reference

MARK = "<!-- generated below this line by scripts/write_reference.py -->\n"


def main() -> None:
    """Replace what stands below the mark in docs/job-file.md."""
    page = Path(__file__).parent.parent / "docs" / "job-file.md"
    head = page.read_text(encoding="utf-8").split(MARK)[0]
    page.write_text(f"{head}{MARK}\n{reference()}", encoding="utf-8")


if __name__ == "__main__":
    main()
