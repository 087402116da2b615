#!/usr/bin/env bash
# package.sh BUILD_DIR CONSUMER_DIR: installs into a new folder; another project finds, links and runs the libraries,
# and the installed program works with the installed data.
set -euo pipefail
build=$1 consumer=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cmake --install "$build" --prefix "$work/prefix" >/dev/null
prefix=$work/prefix
cmake -S "$consumer" -B "$work/build" -G Ninja -DCMAKE_PREFIX_PATH="$prefix" >"$work/log" || { cat "$work/log"; exit 1; }
cmake --build "$work/build" >"$work/log" || { cat "$work/log"; exit 1; }

case_file=$prefix/share/polepitch/machines/cage-motor.toml
"$work/build/consumer" "$case_file"
"$prefix/bin/polepitch" check "$case_file" -o "$work/out" --quiet
[[ -n $(find "$work/out" -name '*.png') ]] || { echo "the installed program drew no picture"; exit 1; }
# Its library is the installed one, not the one of the sources that it was built from.
cp "$prefix/share/polepitch/materials/air.toml" "$prefix/share/polepitch/materials/installed-air.toml"
"$prefix/bin/polepitch" list materials | grep -q installed-air || { echo "the sources' materials were used"; exit 1; }
for file in share/doc/polepitch/LICENSE share/doc/polepitch/README.md share/doc/polepitch/quick-start.md \
  include/polepitch/geometry/section.h; do
  [[ -f $prefix/$file ]] || { echo "$file is not installed"; exit 1; }
done
