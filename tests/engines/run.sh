#!/usr/bin/env bash
# Counts the sample on other engines with the SQL that scopetally prints, and compares: counts and
# the reports made from them must be equal. DuckDB always (half a minute); with `spark` also Spark in
# one process, and a Spark master with two workers on loopback (minutes each; needs Java 17 or later).
# What is missing is installed from PyPI into a venv below target/. SCOPETALLY names another binary.
set -euo pipefail
cd "$(dirname "$0")"
root=$(cd ../.. && pwd)
scopetally=${SCOPETALLY:-${CARGO_TARGET_DIR:-$root/target}/release/scopetally}
[[ -x "$scopetally" ]] || { echo "build it first: cargo build --release" >&2; exit 1; }

venv=$root/target/engines
if [[ ! -x "$venv/bin/pip" ]]; then
  if ! python3 -c 'import venv, ensurepip' 2>/dev/null; then
    as_root=()
    if ((EUID != 0)); then
      command -v sudo >/dev/null || { echo "install python3-venv first" >&2; exit 1; }
      as_root=(sudo)
    fi
    "${as_root[@]}" apt-get update
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends python3 python3-venv
  fi
  python3 -m venv --clear "$venv"
fi
packages=(duckdb==2.0.1)
[[ "${1:-}" == spark ]] && packages+=(pyspark==4.3.0)
"$venv/bin/pip" install --quiet --disable-pip-version-check "${packages[@]}"
export PYTHONDONTWRITEBYTECODE=1

"$venv/bin/python" duckdb_counts.py "$scopetally"
if [[ "${1:-}" == spark ]]; then
  "$venv/bin/python" spark_counts.py "$scopetally"
  "$venv/bin/python" spark_counts.py "$scopetally" cluster
fi
