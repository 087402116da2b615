#!/usr/bin/env bash
# field/open_in_paraview.py of a run with two studies: it compiles, names the studies, refuses others, and its series
# name files that are there. Where ParaView (pvbatch with its Python) and xvfb-run are installed, it also draws.
# usage: paraview.sh PROGRAM
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { printf 'paraview: %s\n' "$*" >&2; exit 1; }

cp tests/faults/base.toml "$work/machine.toml"
cat >>"$work/machine.toml" <<'TOML'

[[study]]
type = "operating-point"
phase_current = "5 A"
field_current = "5 A"

[[study]]
type = "rotating-field"
phase_current = "5 A"
TOML
"$program" run "$work/machine.toml" -o "$work/out" --quiet
cd "$work/out/field"
python3 -m py_compile open_in_paraview.py
[[ $(python3 open_in_paraview.py --list) == $'operating-point\nrotating-field' ]] || fail "--list does not name the studies"
if python3 open_in_paraview.py operating-poin 2>"$work/said"; then fail "a study that is not there was taken"; fi
grep -q 'there are: operating-point, rotating-field' "$work/said" || fail "the message does not name the studies"
for name in $(sed -n 's/.*file="\([^"]*\)".*/\1/p' ./*.pvd); do [[ -s $name ]] || fail "$name is not there"; done

grep -q "timestep: supply phase \[deg\]" rotating-field.pvd || fail "rotating-field.pvd does not say what its steps are"

pvbatch -c 'import paraview.simple' >/dev/null 2>&1 && command -v xvfb-run >/dev/null || exit 0
for colour in B region; do
  timeout 200 xvfb-run -a pvbatch open_in_paraview.py rotating-field --colour $colour --size 400x300 --picture "$work/$colour.png"
  [[ $(head -c 24 "$work/$colour.png" | od -An -tx1 -j16 | tr -d ' \n') == 000001900000012c ]] || fail "$colour.png is not 400x300"
done
if cmp -s "$work/B.png" "$work/region.png"; then fail "|B| and parts look the same"; fi
