#!/bin/sh
# Runs every fuzz target (or those named) for so many seconds, from the kept inputs in corpus/ and
# those of earlier runs: run.sh SECONDS [TARGET...]
# Fails on what a target must not do, on an input that takes more than 10 s and on more than 2 GiB;
# the input is then in build/fuzz/found.
set -eu
cd "$(dirname "$0")/../.."
seconds=$1
shift
[ $# -gt 0 ] || set -- case log stored restart

# The words of case files, for the fuzzer to put in.
mkdir -p build/fuzz
grep -o '`[a-z][a-z_-]*`' cases/README.md | sort -u | tr '`' '"' >build/fuzz/words.dict

status=0
for target in "$@"; do
  grown=build/fuzz/grown/$target
  mkdir -p "$grown" build/fuzz/found
  log=build/fuzz/$target.log
  if nice -n 10 build/fuzz/tests/fuzz/fuzz_"$target" -max_total_time="$seconds" -timeout=10 \
    -rss_limit_mb=2048 -max_len=65536 -artifact_prefix=build/fuzz/found/"$target"- \
    -print_final_stats=1 -use_value_profile="${VALUE_PROFILE:-0}" \
    $([ "$target" != case ] || echo -dict=build/fuzz/words.dict) "$grown" tests/fuzz/corpus/"$target" >"$log" 2>&1; then
    grep -E '^Done|DONE' "$log" | sed "s/^/$target: /"
  else
    status=1
    echo "$target: failed; the end of $log:" >&2
    tail -n 40 "$log" >&2
  fi
done
exit $status
