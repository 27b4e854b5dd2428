#!/bin/sh
# Installs what the build needs and this machine lacks, from Debian's packages.
# Further package names may follow as arguments.
set -eu

needed="g++ cmake ninja-build libeigen3-dev libspectra-dev libcli11-dev libtomlplusplus-dev
  nlohmann-json3-dev libfmt-dev libcsv-dev libcminpack-dev libboost-dev catch2 libvtk9-dev $*"

if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
  echo "This is no Debian system; the build needs the equivalents of:" $needed >&2
  exit 0
fi

missing=""
for package in $needed; do
  state=$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null || true)
  [ "$state" = installed ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

echo "Installing:$missing (can take some minutes)" >&2
if [ "$(id -u)" -eq 0 ]; then
  as_root="env"
elif command -v sudo >/dev/null; then
  as_root="sudo env"
else
  echo "Please run as root, or install sudo: packages are missing." >&2
  exit 1
fi
$as_root apt-get update -qq
$as_root DEBIAN_FRONTEND=noninteractive \
  apt-get install -y -qq -o Dpkg::Use-Pty=0 --no-install-recommends $missing >/dev/null
