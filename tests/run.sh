#!/bin/sh
# Installs what is missing, builds, runs the tests and the validation.
set -eu
cd "$(dirname "$0")/.."

sh tests/browser/install.sh
sh tests/slurm/install.sh
sh tests/install.sh python3-jsonschema # for the test of the schemas
cmake --preset release
cmake --build --preset release
TILTFIN_NEEDS_BROWSER=1 ctest --preset quick
[ "$(id -u)" -ne 0 ] || export TILTFIN_NEEDS_SLURM=1 # its daemons need root
ctest --preset validation
