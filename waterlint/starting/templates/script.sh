#!/bin/sh
# Lint every recipe of this repository, from any folder and on any machine with Python and git.
# Exit status: 0 all is well, 1 findings, 2 something could not be read or installed.
set -eu
cd "$(dirname "$0")/.."
if ! command -v waterlint >/dev/null 2>&1; then
    environment=$(mktemp -d)
    trap 'rm -rf "$environment"' EXIT
    python3 -m venv "$environment" || exit 2
    "$environment/bin/python" -m pip install --quiet "@REQUIREMENT@" || exit 2
    PATH="$environment/bin:$PATH"
fi
waterlint check "$@"
