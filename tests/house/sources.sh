#!/usr/bin/env bash
# Rules that every source file keeps. Takes the folder to look at; the default is this repository.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
failed=0

find geometry solver post cases tests \( -name '*.cpp' -o -name '*.h' \) | sort | xargs -r awk '
  function leave() {
    if (lines > 350) print file " has " lines " lines: over 350 there is a seam to cut at (aim at 300, headers 120)"
    if (file ~ /\.h$/ && !once) print file " has no #pragma once"
  }
  FNR == 1 { if (file != "") leave(); file = FILENAME; once = 0 }
  { lines = FNR }
  $0 == "#pragma once" { once = 1 }
  END { leave() }' | grep . && failed=1

# The libraries hand back values and errors; only the command line in cases/ talks.
talk='\bstd::(cout|cerr|clog)\b|\bfmt::print|\b(printf|puts|abort|exit|_exit|quick_exit|terminate) *\('
if grep -rnE "$talk" --include='*.cpp' --include='*.h' geometry solver post | grep -vE '^[^:]+:[0-9]+: *//'; then
  echo "libraries never print, exit or abort"
  failed=1
fi
exit $failed
