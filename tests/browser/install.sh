#!/bin/sh
# Installs what the test of the report in a browser needs: Debian's Chromium and Node, two packages of
# npm's registry under build/.
set -eu
cd "$(dirname "$0")/../.."

if command -v npm >/dev/null; then
  sh tests/install.sh chromium
else
  sh tests/install.sh chromium nodejs npm
fi
if ! cmp -s tests/browser/package.json build/browser/package.json; then
  mkdir -p build/browser
  cp tests/browser/package.json build/browser/wanted.json
  (cd build/browser && rm -rf node_modules package-lock.json && cp wanted.json package.json &&
    PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1 npm install --no-audit --no-fund --ignore-scripts --loglevel=error ||
    { rm -f package.json; exit 1; })
fi
