#!/bin/sh
# table.sh README PROGRAM...: rewrites the rows of the table in a README from a fresh run of
# validation programs, in their order. The target `validation_table` calls it.
set -eu
cd "$(dirname "$0")/.."
readme=$1
shift
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT

# What a program compares with the old table fails here; its rows are what counts.
printf '%s\n' "$@" | xargs -P "$(nproc)" -I '{}' \
  sh -c '"$1" "~[truth]" 2>&1 | grep "^| " > "$2/$(basename "$1")" || true' sh '{}' "$fresh"

for program in "$@"; do
  name=$(basename "$program")
  reference=validation/${name#validation_}/reference.csv
  if [ "$(grep -vc '^| all ' "$fresh/$name")" -ne "$(($(wc -l < "$reference") - 1))" ]; then
    echo "$name printed another number of rows than $reference has (run it to see why); $readme stays as it was" >&2
    exit 1
  fi
  cat "$fresh/$name"
done > "$fresh/rows"

awk -v rows="$fresh/rows" '
  /^\| --- / { print; while ((getline row < rows) > 0) print row; in_table = 1; next }
  in_table && /^\|/ { next }
  { in_table = 0; print }
' "$readme" > "$readme.new"
mv "$readme.new" "$readme"
