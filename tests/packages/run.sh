#!/usr/bin/env bash
# Makes the tables of the sample, for inside and to be passed on, and reads them with other programs; check.py says which and what is
# compared. Needs python3 with venv, and installs from PyPI into a venv below target/. R and LaTeX are
# used where they are installed. SCOPETALLY names another binary.
set -euo pipefail
cd "$(dirname "$0")/../.."
scopetally=${SCOPETALLY:-${CARGO_TARGET_DIR:-target}/release/scopetally}
[[ -x "$scopetally" ]] || { echo "build it first: cargo build --release" >&2; exit 1; }

venv=target/packages
[[ -x "$venv/bin/pip" ]] || python3 -m venv --clear "$venv"
"$venv/bin/pip" install --quiet --disable-pip-version-check \
  frictionless==5.21.0 pyarrow==26.0.1 pandas==3.1.1 polars==2.1.0 openpyxl==3.1.5

made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT
exports=(--cases sample_data/cases.csv --passes sample_data/passes.csv --mapping sample_data/mapping.toml)
"$scopetally" tables --quiet "${exports[@]}" --out "$made/tables"
"$venv/bin/python" tests/packages/check.py "$made/tables"
"$scopetally" tables --quiet "${exports[@]}" --share --releases "$made/releases.json" --out "$made/shared"
"$venv/bin/python" tests/packages/check.py "$made/shared" --shared
