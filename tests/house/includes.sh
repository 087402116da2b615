#!/usr/bin/env bash
# Includes point downwards only (geometry <- solver <- post <- cases), in no circle, and each library that could leak
# everywhere is included by one file. Takes the folder to look at; the default is this repository.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
failed=0

# "file <header" or "file "header" for every include, sorted by file.
list=$(grep -roE --include='*.cpp' --include='*.h' '^[[:space:]]*#[[:space:]]*include[[:space:]]*[<"][^">]+' \
  geometry solver post cases | sed -E 's/:.*include[[:space:]]*/ /' | sort)

awk '
  BEGIN {
    rank["geometry"] = 0; rank["solver"] = 1; rank["post"] = 2; rank["cases"] = 3
    # At most one file each, Gmsh two (mesher, reader of solid models); the expression is matched against the header as
    # it is written.
    one["Gmsh"] = "^gmsh"
    one["VTK"] = "^vtk"
    one["CHOLMOD"] = "^(suitesparse/)?(cholmod|amd|SuiteSparse|Eigen/Cholmod)"
    one["UMFPACK"] = "^(suitesparse/)?(umfpack|Eigen/UmfPack)"
    one["toml++"] = "^toml"
    one["CLI11"] = "^CLI/"
    one["UDUNITS"] = "^udunits"
    one["cairo"] = "^cairo"
  }
  {
    file = $1; own = substr($2, 1, 1) == "\""; header = substr($2, 2)
    from = file; sub("/.*", "", from)
    to = header; sub("/.*", "", to)
    if (own && !(to in rank))
      print file " includes \"" header "\": own headers are written from the root, as in \"geometry/mesh.h\""
    else if (own && rank[to] > rank[from])
      print file " includes " header ": a lower folder never includes a higher one"
    for (library in one)
      if (header ~ one[library] && !seen[library, file]++) { users[library] = users[library] " " file; ++count[library] }
  }
  END {
    for (library in count)
      if (count[library] > (library == "Gmsh" ? 2 : 1)) print library " belongs to " (library == "Gmsh" ? "two files" : "one file") ", but is included by" users[library]
  }' <<<"$list" | grep . && failed=1

if ! loops=$(awk '$2 ~ /^"/ { print $1, substr($2, 2) }' <<<"$list" | tsort 2>&1 >/dev/null); then
  printf 'headers include each other in a circle:\n%s\n' "$loops"
  failed=1
fi
exit $failed
