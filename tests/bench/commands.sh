#!/usr/bin/env bash
# commands.sh PROGRAM [REPEATS]: median and range of the wall time of whole commands, as a user waits for them.
set -euo pipefail
export LC_ALL=C
program=$1 repeats=${2:-5}
cases=$(cd "$(dirname "${BASH_SOURCE[0]}")/../../cases/machines" && pwd)
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

# once COMMAND…: its wall time in seconds.
once() {
  local start=$EPOCHREALTIME
  "$@" >"$out/log" 2>&1 || { cat "$out/log" >&2; return 1; }
  awk -v a="$start" -v b="$EPOCHREALTIME" 'BEGIN { printf "%.3f\n", b - a }'
}

# measure NAME REPEATS COMMAND…
measure() {
  local name=$1 n=$2 i times=()
  shift 2
  for ((i = 0; i < n; ++i)); do times+=("$(once "$@")"); done
  printf '%s\n' "${times[@]}" | sort -g | awk -v name="$name" '{ t[NR] = $1 } END {
    median = NR % 2 ? t[(NR + 1) / 2] : (t[NR / 2] + t[NR / 2 + 1]) / 2
    printf "%-40s %9.2f %9.2f %9.2f %8d\n", name, median, t[1], t[NR], NR }'
}

printf '%-40s %9s %9s %9s %8s\n' "wall time, s ($(nproc) cores)" median least most repeats
for name in salient-generator cage-motor; do
  measure "check $name" "$repeats" "$program" check "$cases/$name.toml" -o "$out/check" --quiet
  for ((jobs = 1; jobs <= $(nproc) && jobs <= 2; ++jobs)); do
    measure "run $name --jobs $jobs" 3 "$program" run "$cases/$name.toml" -o "$out/run" --jobs "$jobs" --quiet
  done
done
