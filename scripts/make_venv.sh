#!/bin/sh
# make_venv.sh PYTHON VENV LOCK: a virtual environment that holds the locked packages and this one.
set -eu
python=$1 venv=$2 lock=$3

if [ ! -x "$venv/bin/pip" ]; then
    if ! "$python" -c 'import ensurepip' 2>/dev/null; then
        echo "Installing python3-venv, which this Python lacks."
        apt-get update -qq && apt-get install -y -qq python3-venv
    fi
    "$python" -m venv "$venv"
fi
"$venv/bin/pip" install --quiet --disable-pip-version-check -r "$lock"
"$venv/bin/pip" install --quiet --disable-pip-version-check --no-deps --editable .
