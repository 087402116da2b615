#!/usr/bin/env bash
# verification.sh check|write TESTS: docs/verification.md from what the test programs in TESTS (BUILD/tests) recorded in
# TESTS/records when ctest ran them. `check` compares all but the computed digits, which may differ between machines,
# and leaves with 77 (skipped) when a test was not run since its program was built.
set -euo pipefail
export LC_ALL=C
mode=$1
tests=$(cd "$2" && pwd)
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
page=${3:-docs/verification.md}

complete=0
records=()
for program in "$tests"/*_tests; do
  name=$(basename "$program" _tests)
  listed=$("$program" --gtest_list_tests | grep -c '^  ') || true
  mapfile -t fresh < <(find "$tests/records/$name" -name '*.xml' -newer "$program" 2>/dev/null | sort)
  records+=("${fresh[@]}")
  if [[ ${#fresh[@]} -ne $listed ]]; then
    echo "$name: ${#fresh[@]} of $listed tests were run since it was built"
    complete=77
  fi
done
if [[ $complete -ne 0 ]]; then
  echo "run all tests first: ctest --test-dir BUILD"
  exit $complete
fi

# FILE <tab> ROW for each recorded check.
rows() {
  cat "${records[@]}" | awk '
    match($0, / file="[^"]*"/) && /<testcase/ {
      file = substr($0, RSTART + 7, RLENGTH - 8)
      sub(/.*\/tests\//, "tests/", file)
    }
    match($0, /<property name="check .* value="/) {
      row = substr($0, RSTART + RLENGTH)
      sub(/"\/>.*/, "", row)
      gsub(/&lt;/, "<", row); gsub(/&gt;/, ">", row); gsub(/&quot;/, "\"", row); gsub(/&apos;/, "\047", row)
      gsub(/&amp;/, "\\&", row)
      print file "\t" row
    }' | sort -s -t $'\t' -k1,1
}

compose() {
  cat <<'HEAD'
# Verification

What the tests hold the program to, written by the tests themselves: each line is one assertion, and `computed` is what
the last renewal of this page gave. The test programs record the lines while they run; a test compares this page with
them in all but the computed digits, which differ a little between machines. Renew it by
`tests/house/verification.sh write BUILD/tests` after all tests have run.

Kinds of evidence:
- **closed form**: an analytic solution that shares nothing with the finite elements.
- **published**: a value printed in the literature, or the formula of a publication evaluated to more digits.
- **rate**: how fast the error falls as the mesh is refined, against the theory of second-order elements; or how near
  two numbers of harmonics, or two methods for one torque, have come on a fine mesh.
- **hand calculation**: a ready case against the formulas of a textbook. The column `expected` is the band for the ratio
  computed/by hand, as wide as the formula is good.
- **true by construction: tests the code**: identities that hold on any mesh; they find mistakes in the code and say
  nothing about accuracy.

No machine was measured. The sources are described in [references](references.md).
HEAD
  rows | awk -F '\t' '
    $1 != file {
      file = $1
      print "\n## " file
      print "| quantity | computed | expected | difference | tolerance | unit | source | kind |"
      print "|---|---|---|---|---|---|---|---|"
    }
    { print $2 }'
}

# The page without computed values and differences.
agreed() { awk -F ' [|] ' 'BEGIN { OFS = " | " } NF >= 8 { $2 = $4 = "" } { print }' "$1"; }

new=$(mktemp)
trap 'rm -f "$new"' EXIT
compose >"$new"

twice=$(rows | cut -d '|' -f 1,2 | sort | uniq -d)
if [[ -n $twice ]]; then
  printf 'recorded more than once:\n%s\n' "$twice"
  exit 1
fi
if [[ $mode == write ]]; then
  cp "$new" "$page"
  chmod 644 "$page"
  exit
fi

failed=0
diff <(agreed "$page") <(agreed "$new") || failed=1
# The page's own numbers keep their tolerance; 5 % for its two digits.
awk -F ' [|] ' 'NF >= 8 && $5 + 0 > 0 && ($4 > 1.05 * $5 || -$4 > 1.05 * $5) { print "beyond its tolerance: " $0; bad = 1 }
  END { exit bad }' "$page" || failed=1
[[ $failed -eq 0 ]] || echo "docs/verification.md is not what the tests record; run: tests/house/verification.sh write $tests"
exit $failed
