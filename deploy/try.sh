#!/bin/sh
# The bot in the demo town, no account needed: sh deploy/try.sh [--say TEXT ...]
set -eu
cd "$(dirname "$0")/.."
. deploy/setup.sh
# What the tests installed holds all that this lock asks for.
is_set_up deploy/requirements-test.lock || set_up deploy/requirements.lock
exec .venv/bin/python -m bot rehearse "$@"
