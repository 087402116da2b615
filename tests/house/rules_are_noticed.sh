#!/usr/bin/env bash
# The other house tests can fail: each rule is broken once in a small tree and must be reported by its text.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
failed=0

fresh_tree() {
  rm -rf "${root:?}"/*
  mkdir -p "$root"/{geometry,solver,post,cases,tests}
  cp "$here/../../.clang-format" "$root"
  printf '#pragma once\n\nint area();\n' >"$root/geometry/area.h"
  printf '#include <gmsh.h>\n\n#include "geometry/area.h"\n' >"$root/geometry/area.cpp"
  printf '#include "geometry/area.h"\n' >"$root/cases/main.cpp"
}

passes() {
  local output
  output=$("$here/$1" "$root" 2>&1) || { echo "$1 refuses a good tree: $output"; failed=1; }
}

# refuses SCRIPT TEXT: the tree as it stands now is refused with TEXT.
refuses() {
  local output
  if output=$("$here/$1" "$root" 2>&1); then
    echo "$1 did not notice: $2"
    failed=1
  elif [[ $output != *"$2"* ]]; then
    printf '%s refused without saying "%s":\n%s\n' "$1" "$2" "$output"
    failed=1
  fi
  fresh_tree
}

fresh_tree
passes includes.sh
passes sources.sh
passes format.sh

printf '#include "cases/case.h"\n' >"$root/post/torque.cpp"
refuses includes.sh "post/torque.cpp includes cases/case.h: a lower folder never includes a higher one"

printf '#include "area.h"\n' >"$root/geometry/slot.cpp"
refuses includes.sh "own headers are written from the root"

printf '#pragma once\n#include "geometry/b.h"\n' >"$root/geometry/a.h"
printf '#pragma once\n#include "geometry/a.h"\n' >"$root/geometry/b.h"
refuses includes.sh "in a circle"

printf '#include <gmsh.h>\n' | tee "$root/geometry/other.cpp" >"$root/geometry/third.cpp"
refuses includes.sh "Gmsh belongs to two files"

for header in 'vtkNew.h' 'cholmod.h' 'toml++/toml.h' 'CLI/CLI.hpp' 'udunits2.h' 'cairo/cairo.h'; do
  printf '#include <%s>\n' "$header" | tee "$root/cases/one.cpp" >"$root/cases/two.cpp"
  refuses includes.sh "belongs to one file"
done

printf 'int area();\n' >"$root/geometry/bare.h"
refuses sources.sh "geometry/bare.h has no #pragma once"

for ((i = 0; i < 351; ++i)); do echo "// a line"; done >"$root/solver/long.cpp"
refuses sources.sh "solver/long.cpp has 351 lines"

printf 'void f() { std::cerr << 1; }\n' >"$root/solver/talks.cpp"
refuses sources.sh "libraries never print"

printf 'int  area( );\n' >"$root/geometry/loose.h"
refuses format.sh "code should be clang-formatted"

# The verification page: a program of one test, its record, and the page written from it.
mkdir -p "$root/bin/records/demo"
page=$root/page.md
printf '#!/bin/sh\necho Field.\necho "  Peak"\n' >"$root/bin/demo_tests"
chmod +x "$root/bin/demo_tests"
touch -d '1 minute ago' "$root/bin/demo_tests"
record() {
  printf '<testcase name="Peak" file="/a/tests/demo_test.cpp">\n<property name="check peak" value="| peak | %s | 1 | %s | %s | T | formula | closed form |"/>\n' "$@" \
    >"$root/bin/records/demo/Field.Peak.xml"
}
# page_says STATUS TEXT: what comparing the page with the record ends with and says.
page_says() {
  local output status=0
  output=$("$here/verification.sh" check "$root/bin" "$page" 2>&1) || status=$?
  [[ $status -eq $1 && $output == *"$2"* ]] && return
  printf 'verification.sh left with %s, not %s and "%s":\n%s\n' "$status" "$1" "$2" "$output"
  failed=1
}

record 1.02 2.0e-02 0.1
"$here/verification.sh" write "$root/bin" "$page"
page_says 0 ""
record 1.03 3.0e-02 0.1
page_says 0 ""
record 1.02 2.0e-02 0.2
page_says 1 "| 0.2 | T"
record 1.02 2.0e-02 0.1
sed -i 's/ 2.0e-02 / 2.0e-01 /' "$page"
page_says 1 "beyond its tolerance"
touch "$root/bin/demo_tests"
touch -d '1 minute ago' "$root/bin/records/demo/Field.Peak.xml"
page_says 77 "0 of 1 tests were run"

exit $failed
