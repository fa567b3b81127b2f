#!/bin/sh
# Make both locks anew: the test lock first, the run lock held to it, so what is tested is deployed.
set -eu
cd "$(dirname "$0")/.."
uv pip compile -q --universal --generate-hashes --extra build --extra test \
    --no-header -o deploy/requirements-test.lock pyproject.toml "$@"
uv pip compile -q --universal --generate-hashes --extra build \
    --no-header -c deploy/requirements-test.lock -o deploy/requirements.lock pyproject.toml "$@"
