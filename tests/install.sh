#!/bin/sh
# Installs what the build needs and this machine lacks, from Debian's packages.
# Further package names may follow as arguments: with clang as the compiler
#   sh tests/install.sh clang libomp-dev
#   cmake --preset release -DCMAKE_CXX_COMPILER=clang++
set -eu
cd "$(dirname "$0")/.."

needed="g++ cmake ninja-build libeigen3-dev libspectra-dev libcli11-dev libtomlplusplus-dev
  nlohmann-json3-dev libfmt-dev libcsv-dev libcminpack-dev libboost-dev libjs-chart.js catch2 $*"

if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
  echo "This is no Debian system; the build needs the equivalents of:" $needed libvtk9-dev >&2
  exit 0
fi

is_installed() {
  [ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null || true)" = installed ]
}

missing=""
for package in $needed; do
  is_installed "$package" || missing="$missing $package"
done
# VTK's libraries carry their version in the name of their package.
if dpkg-query -W -f='${db:Status-Status}\n' 'libvtk9.[0-9]*' 2>/dev/null | grep -qx installed; then
  vtk=there
else
  vtk=missing
fi

if [ -n "$missing" ] || [ "$vtk" = missing ]; then
  if [ "$(id -u)" -eq 0 ]; then
    as_root="env"
  elif command -v sudo >/dev/null; then
    as_root="sudo env"
  else
    echo "Please run as root, or install sudo: packages are missing." >&2
    exit 1
  fi
  $as_root apt-get update -qq
  if [ "$vtk" = missing ]; then
    missing="$missing $(apt-cache depends libvtk9-dev | sed -n 's/.*Depends: \(libvtk9\.[0-9a-z]*\)$/\1/p')"
  fi
  echo "Installing:$missing (can take some minutes)" >&2
  $as_root DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -qq -o Dpkg::Use-Pty=0 --no-install-recommends $missing >/dev/null
fi

# Of VTK's development package the headers alone: it depends on all that any part of VTK was built
# with (Java, Python, Tk, MPI, databases), 380 packages and 1.2 GB that ours never touch.
if ! is_installed libvtk9-dev && ! [ -e build/vtk/vtkNew.h ]; then
  unpacked=build/vtk.unpacked
  rm -rf "$unpacked"
  mkdir -p "$unpacked"
  (cd "$unpacked" && apt-get download -qq -o APT::Sandbox::User=root libvtk9-dev && dpkg-deb -x libvtk9-dev_*.deb .)
  rm -rf build/vtk
  mv "$unpacked"/usr/include/vtk-* build/vtk
  rm -rf "$unpacked"
fi
