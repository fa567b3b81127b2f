#!/bin/sh
# Every check and every test: format, lint, types, layers, tests (schema and house rules included).
set -eu
cd "$(dirname "$0")/.."
. deploy/setup.sh
set_up deploy/requirements-test.lock
bin=.venv/bin
$bin/ruff format --check .
$bin/ruff check .
$bin/mypy
$bin/lint-imports
$bin/python -m pytest -n 2 "$@"
