#!/bin/sh
# Installs what is missing, builds the program, runs the demo case and says where the results are.
set -eu
cd "$(dirname "$0")/.."

sh tests/install.sh
cmake --preset release
cmake --build --preset release --target tiltfin

status=0
build/release/tiltfin solve cases/observatory-stack.toml -o results/observatory-stack || status=$?
if [ "$status" -eq 0 ] || [ "$status" -eq 3 ]; then # the demo's bench logs are invented
  build/release/tiltfin levers cases/observatory-stack.toml --from results/observatory-stack --only on_flat \
    -o results/observatory-stack || status=$?
  build/release/tiltfin animate results/observatory-stack || status=$?
  build/release/tiltfin bench cases/observatory-stack.toml -o results/observatory-stack
  build/release/tiltfin compare results/observatory-stack cases/observatory-stack.toml \
    --calibrate die-to-base heat-share --using upright flat-up -o results/observatory-stack
  build/release/tiltfin report results/observatory-stack
fi
if [ "$status" -eq 0 ] || [ "$status" -eq 3 ]; then
  echo
  echo "Results are in $(pwd)/results/observatory-stack:"
  echo "  report.html                 all of it as a page, for a browser"
  echo "  summary.csv, summary.json   one row per condition"
  echo "  trend.csv                   power limit of every orientation and panel state"
  echo "  bench.svg, compare.svg      rise against power, measured and computed"
  echo "  levers.svg                  what would help where it lies flat"
  echo "  sheets/*.svg                all pictures of a power on one page, gravity down"
  echo "  animations/*.svg            the air from a cold start, and where it sways"
  echo "  fields/*.vtr                the fields, for a VTK reader"
fi
exit "$status"
