#!/usr/bin/env bash
# Opens the report of the sample in a real browser: what is missing is installed, the rules are
# shown to be able to fail, then the report is held to them. Needs Debian's packages or a chromium
# and a node of 18 or later, and the npm registry.
set -euo pipefail
cd "$(dirname "$0")"

missing=()
command -v chromium >/dev/null || [[ -n "${CHROMIUM:-}" ]] || missing+=(chromium fonts-liberation)
command -v node >/dev/null || missing+=(nodejs)
command -v npm >/dev/null || missing+=(npm)
if ((${#missing[@]} > 0)); then
  as_root=()
  if ((EUID != 0)); then
    command -v sudo >/dev/null || { echo "install ${missing[*]} first" >&2; exit 1; }
    as_root=(sudo)
  fi
  install=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends)
  "${as_root[@]}" apt-get update
  "${install[@]}" "${missing[@]}"
fi

npm ci --ignore-scripts --no-audit --no-fund
node self_test.mjs "$@"
node check.mjs "$@"
