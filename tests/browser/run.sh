#!/bin/sh
# Solves a small case with the program $1, in the folder $2, and looks at its report in a browser.
# Exit code 77: not tested, something is missing (tests/browser/install.sh installs it); with
# TILTFIN_NEEDS_BROWSER set, as in tests/run.sh, that is a failure.
set -eu
cd "$(dirname "$0")/../.."
program=$1
folder=$2

missing=""
command -v node >/dev/null || missing="$missing node"
browser=$(command -v chromium || true)
[ -n "$browser" ] || missing="$missing chromium"
for package in axe-core playwright-core; do
  [ -d "build/browser/node_modules/$package" ] || missing="$missing $package"
done
if [ -n "$missing" ]; then
  echo "not tested, missing:$missing (sh tests/browser/install.sh)"
  [ -z "${TILTFIN_NEEDS_BROWSER:-}" ] || exit 1
  exit 77
fi

rm -rf "$folder"
mkdir -p "$folder"
solved="$folder/results"
"$program" solve tests/browser/comb.toml -o "$solved" --jobs 1 --skip-stability --listed-powers-only >/dev/null
"$program" levers tests/browser/comb.toml --from "$solved" -o "$solved" --only upright --jobs 1 >/dev/null
"$program" report "$solved"
NODE_PATH=build/browser/node_modules node tests/browser/check_report.mjs "$browser" "$solved" "$folder"
