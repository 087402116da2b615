#!/usr/bin/env bash
# documents.sh PROGRAM: generated documents are up to date, links lead somewhere, the README is short.
set -euo pipefail
program=$1
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
failed=0
fail() { printf '%s\n' "$*"; failed=1; }

for topic in case-file material-file; do
  "$program" docs $topic | diff docs/$topic.md - ||
    fail "docs/$topic.md is not what the parameter tables say; run: polepitch docs $topic > docs/$topic.md"
done

lines=$(wc -l <README.md)
[[ $lines -le 80 ]] || fail "README.md has $lines lines, more than 80"

# Relative links and pictures in the documents: [text](target) with an optional #anchor.
while IFS= read -r document; do
  while IFS= read -r target; do
    [[ -e $(dirname "$document")/$target ]] || fail "$document links to $target, which is not there"
  done < <(grep -oE '\]\([^)#: ]+' "$document" | cut -c3-)
done < <(find README.md DEVELOPERS.md docs -name '*.md' | sort)

# A user-visible change is one file whose first word says what kind of change it is.
for change in docs/changes/*.md; do
  [[ $change != */README.md ]] || continue
  head -n 1 "$change" | grep -qE '^(new|fixed|incompatible): ' || fail "$change does not begin with new:, fixed: or incompatible:"
done
exit $failed
