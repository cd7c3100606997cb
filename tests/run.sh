#!/bin/sh
# Runs every test: form, lints, documentation, tests, licences. From anywhere: sh tests/run.sh
#
# Some tests compare with programs from outside the project, in Python with ezdxf, shapely, numpy and scipy. TRUERISE_PYTHON
# names such a Python; without it one is made in target/python (needs python3 with venv, and the package index once).
set -eu
cd "$(dirname "$0")/.."

if [ -z "${TRUERISE_PYTHON:-}" ]; then
    home="${CARGO_TARGET_DIR:-target}/python"
    mkdir -p "$home"
    home="$(cd "$home" && pwd)"
    TRUERISE_PYTHON="$home/bin/python"
    "$TRUERISE_PYTHON" -c 'import ezdxf, shapely, numpy, scipy' 2>/dev/null || {
        python3 -m venv "$home"
        "$TRUERISE_PYTHON" -m pip install --quiet --disable-pip-version-check -r tests/python/requirements.txt
    }
    export TRUERISE_PYTHON
fi

cargo fmt --check
cargo clippy --all-targets -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --no-deps
# The rooms, for whoever carries on the code.
RUSTDOCFLAGS="-D warnings" cargo doc --no-deps --document-private-items
# The library by itself: no arguments, no files, no terminal.
cargo check --lib --no-default-features
TRUERISE_SKIPPED="$(mktemp)"
export TRUERISE_SKIPPED
trap 'rm -f "$TRUERISE_SKIPPED"' EXIT
cargo test

if cargo deny --version >/dev/null 2>&1; then
    cargo deny --offline check licenses bans sources
elif [ -n "${CI:-}" ]; then
    echo "cargo-deny is missing, so licences cannot be checked: cargo install --locked cargo-deny" >&2
    exit 1
else
    echo "licences of dependencies are not looked at: cargo install --locked cargo-deny" >> "$TRUERISE_SKIPPED"
fi

# What was not checked for want of a program from outside, each reason with how often.
if [ -s "$TRUERISE_SKIPPED" ]; then
    echo "skipped, $(wc -l < "$TRUERISE_SKIPPED") checks in all:"
    sort "$TRUERISE_SKIPPED" | uniq -c
else
    echo "skipped: nothing"
fi
