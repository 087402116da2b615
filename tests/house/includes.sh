#!/usr/bin/env bash
# Includes point downwards only (geometry <- solver <- post <- cases), in no circle, and each library that could leak
# everywhere is included by one file. Takes the folder to look at; the default is this repository.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
folders=(geometry solver post cases)
failed=0
fail() { printf '%s\n' "$*"; failed=1; }

# "file header" for every include of the project's own headers or of a library.
includes() {
  find "${folders[@]}" \( -name '*.cpp' -o -name '*.h' \) -print0 | sort -z |
    xargs -0 -r sed -nE 's/^[[:space:]]*#[[:space:]]*include[[:space:]]*([<"])([^">]+)[">].*/\1\2/p; F' |
    awk '/^[<"]/ { header[++n] = $0; next } { for (i = 1; i <= n; ++i) print $0, header[i]; n = 0 }'
}
list=$(includes)

rank() {
  case $1 in geometry) echo 0 ;; solver) echo 1 ;; post) echo 2 ;; cases) echo 3 ;; *) echo none ;; esac
}

while read -r file header; do
  [[ $header == '"'* ]] || continue
  header=${header#\"}
  from=$(rank "${file%%/*}") to=$(rank "${header%%/*}")
  if [[ $to == none ]]; then
    fail "$file includes \"$header\": own headers are written from the root, as in \"geometry/mesh.h\""
  elif [[ $to -gt $from ]]; then
    fail "$file includes $header: a lower folder never includes a higher one"
  fi
done <<<"$list"

if ! loops=$(awk '$2 ~ /^"/ { print $1, substr($2, 2) }' <<<"$list" | tsort 2>&1 >/dev/null); then
  fail "headers include each other in a circle:" "$loops"
fi

# one_file NAME REGEX: at most one file includes headers that match.
one_file() {
  local files
  files=$(awk -v re="$2" 'substr($2, 2) ~ re { print $1 }' <<<"$list" | sort -u)
  [[ $(grep -c . <<<"$files") -le 1 ]] || fail "$1 belongs to one file, but is included by:" $files
}
one_file Gmsh '^gmsh'
one_file VTK '^vtk'
one_file SuiteSparse '^(suitesparse/)?(cholmod|umfpack|amd|SuiteSparse|Eigen/(Cholmod|UmfPack))'
one_file toml++ '^toml'
one_file CLI11 '^CLI/'
one_file UDUNITS '^udunits'
one_file cairo '^cairo'
exit $failed
