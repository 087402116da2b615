#!/usr/bin/env bash
# Rules that every source file keeps. Takes the folder to look at; the default is this repository.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
failed=0
fail() { printf '%s\n' "$*"; failed=1; }

while read -r file; do
  lines=$(wc -l <"$file")
  [[ $lines -le 350 ]] || fail "$file has $lines lines: over 350 there is a seam to cut at (aim at 300, headers 120)"
  [[ $file != *.h ]] || grep -qx '#pragma once' "$file" || fail "$file has no #pragma once"
done < <(find geometry solver post cases tests \( -name '*.cpp' -o -name '*.h' \) | sort)

# The libraries hand back values and errors; only the command line in cases/ talks.
while read -r line; do
  fail "$line: libraries never print, exit or abort"
done < <(grep -rnE '\bstd::(cout|cerr|clog)\b|\bfmt::print|\b(printf|puts|abort|exit|_exit|quick_exit|terminate) *\(' \
  --include='*.cpp' --include='*.h' geometry solver post | grep -vE '^[^:]+:[0-9]+: *//')
exit $failed
