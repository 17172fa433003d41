"""Run every benchmark, or those named: ``python -m benchmarks [TOPIC ...]``.

Each topic runs in a process of its own, so that its memory and its compiled code are
its own too.
"""

from __future__ import annotations

import subprocess
import sys

TOPICS = (
    "space",
    "space_scan",
    "sound",
    "cabin",
    "drive",
    "supply",
    "choose",
    "slider",
    "catalogue",
    "papers",
    "proof",
    "web",
)


def main(named: list[str]) -> int:
    """Run the topics one after the other; return how many failed."""
    unknown = [name for name in named if name not in TOPICS]
    if unknown:
        sys.stderr.write(f"no benchmark {', '.join(unknown)}; there is: {', '.join(TOPICS)}\n")
        return len(unknown)
    failed = 0
    for topic in named or TOPICS:
        sys.stdout.write(f"\n== {topic}\n")
        sys.stdout.flush()
        failed += subprocess.run([sys.executable, "-m", f"benchmarks.{topic}"]).returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
