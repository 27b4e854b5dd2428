#!/bin/sh
# Installs what is missing, builds, runs the tests and the validation.
set -eu
cd "$(dirname "$0")/.."

sh tests/install.sh
cmake --preset release
cmake --build --preset release
ctest --preset quick
ctest --preset validation
