#!/bin/sh
# The parts of the tests that are no Python packages: a real browser, a reference circuit
# solver, a real database, and a renderer of PDF pages.
set -eu
missing=""
for pair in chromium:chromium ngspice:ngspice pdftoppm:poppler-utils; do
    command -v "${pair%%:*}" >/dev/null 2>&1 || missing="$missing ${pair#*:}"
done
ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || missing="$missing postgresql"
if [ -n "$missing" ]; then
    apt-get update -qq
    # shellcheck disable=SC2086
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing
fi
