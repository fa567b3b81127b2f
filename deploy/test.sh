#!/bin/sh
# Every check and every test: format, lint, types, layers, tests (schema and house rules included).
set -eu
cd "$(dirname "$0")/.."
. deploy/setup.sh
set_up deploy/requirements-test.lock
if [ ! -x /usr/bin/chromium ]; then
    if [ "${CI:-}" = true ] && [ "$(id -u)" = 0 ]; then
        echo "Installing chromium for the tests of the page ..." >&2
        apt-get -qq update >&2
        DEBIAN_FRONTEND=noninteractive \
            apt-get -qq install -y --no-install-recommends chromium >/dev/null
    else
        echo "The page is not tested in a browser here: install Debian's package chromium." >&2
    fi
fi
bin=.venv/bin
$bin/ruff format --check .
$bin/ruff check .
$bin/mypy
$bin/lint-imports
$bin/python -m pytest -n 2 "$@"
