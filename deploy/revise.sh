#!/bin/sh
# Write the next migration from the models: sh deploy/revise.sh "what changed"
set -eu
cd "$(dirname "$0")/.."
next=$(printf '%04d' $(($(ls migrations/versions | grep -c '^[0-9]') + 1)))
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
.venv/bin/python - "$1" "$next" "sqlite:///$scratch/scratch.db" <<'PYTHON'
import sys

from alembic import command
from alembic.config import Config

message, revision, url = sys.argv[1:]
config = Config(toml_file="pyproject.toml")
config.set_main_option("sqlalchemy.url", url)
command.upgrade(config, "head")
command.revision(config, message=message, autogenerate=True, rev_id=revision)
PYTHON
