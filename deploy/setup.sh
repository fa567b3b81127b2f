# Read by try.sh and test.sh: `set_up LOCK` makes .venv and installs LOCK and the project into it.
# It does nothing, and needs no network, when that was done before for the same files.

find_python() {
    for name in python3.13 python3.12 python3.11 python3 python; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$name"
            return 0
        fi
    done
    echo "Tankwren needs Python 3.11 or newer with venv; none was found." >&2
    return 1
}

stamp_of() {
    cat "$1" pyproject.toml | cksum
}

is_set_up() {
    stamp=".venv/installed-$(basename "$1")"
    [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$(stamp_of "$1")" ]
}

set_up() {
    if is_set_up "$1"; then
        return 0
    fi
    echo "Setting up .venv from $1 (once) ..." >&2
    if [ ! -x .venv/bin/python ]; then
        python=$(find_python) || return 1
        "$python" -m venv .venv || { rm -rf .venv; return 1; }
    fi
    rm -f .venv/installed-*
    .venv/bin/python -m pip install --quiet --disable-pip-version-check \
        --require-hashes -r "$1"
    .venv/bin/python -m pip install --quiet --disable-pip-version-check \
        --no-deps --no-build-isolation -e .
    stamp_of "$1" >".venv/installed-$(basename "$1")"
}
