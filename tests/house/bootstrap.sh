#!/usr/bin/env bash
# ./bootstrap on machines that this one is not: packages missing, old package lists, no right to install, no Debian.
# dpkg-query, apt-get, id, sudo and the build tools are stand-ins that write down how they were called.
set -euo pipefail
repo=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

stand_in() {
  printf '#!/bin/bash\n%s\n' "$2" >"$work/bin/$1"
  chmod +x "$work/bin/$1"
}

# A machine as root with every package but those in MISSING; a folder with what the script needs besides.
machine() {
  rm -rf "${work:?}"/*
  mkdir -p "$work/bin"
  local tool
  for tool in bash env dirname awk grep cat nproc; do ln -s "$(command -v $tool)" "$work/bin/$tool"; done
  cp "$repo/bootstrap" "$work"
  # As the real one: a line for each package it knows, and exit code 1 when there is one that it does not.
  stand_in dpkg-query 'shift 3; code=0
    for p; do [[ " $MISSING " == *" $p "* ]] && code=1 || echo "$p installed"; done; exit $code'
  stand_in apt-get 'echo "apt-get $*" >>'"$work"'/calls
    [[ $1 == update ]] && { : >'"$work"'/updated; exit 0; }
    [[ -z ${NEEDS_UPDATE:-} || -e '"$work"'/updated ]] && [[ -z ${BROKEN:-} ]]'
  stand_in id 'echo "${USER_ID:-0}"'
  stand_in g++ 'echo 12'
  stand_in cmake 'echo "cmake $*" >>'"$work"'/calls'
  : >"$work/calls"
}

# bootstrap NAME=value… COMMAND: runs it, leaving code, stdout and stderr.
bootstrap() {
  code=0
  env -i PATH="$work/bin" HOME="$work" "${@:1:$#-1}" "$work/bootstrap" "${@: -1}" \
    </dev/null >"$work/stdout" 2>"$work/stderr" || code=$?
}
expect() {  # expect WHAT FILE TEXT
  grep -qF -- "$3" "$work/$2" || { echo "$1: $2 lacks \"$3\":"; cat "$work/$2"; failed=1; }
}
refuse() {
  ! grep -qF -- "$3" "$work/$2" || { echo "$1: $2 should not have \"$3\":"; cat "$work/$2"; failed=1; }
}
exits() {
  [[ $code == "$2" ]] || { echo "$1: exit code $code instead of $2"; cat "$work/stderr"; failed=1; }
}

machine
bootstrap MISSING="" build
exits "nothing missing" 0
refuse "nothing missing" calls apt-get
expect "nothing missing" calls "cmake --preset release"
[[ $(tail -n 1 "$work/stdout") == "$work/build/release/polepitch" ]] || { echo "path is not the last line"; failed=1; }
[[ $(wc -l <"$work/stdout") == 1 ]] || { echo "build prints more than the path on stdout"; failed=1; }

machine
bootstrap MISSING="libfmt-dev g++" build
exits "two missing" 0
expect "two missing" calls "install -y -q --no-install-recommends -o DPkg::Lock::Timeout=300 g++ libfmt-dev"
refuse "two missing" calls "apt-get update"
refuse "two missing" calls "cmake libgtest-dev"

machine
bootstrap MISSING="libfmt-dev" NEEDS_UPDATE=1 build
exits "old lists" 0
expect "old lists" calls "apt-get update"
[[ $(grep -c 'apt-get install' "$work/calls") == 2 ]] || { echo "old lists: not tried twice"; failed=1; }
expect "old lists" calls "cmake --build"

machine
bootstrap MISSING="libfmt-dev" BROKEN=1 build
exits "apt fails" 1
expect "apt fails" stderr "apt-get could not install the packages"
[[ $(grep -c 'apt-get install' "$work/calls") == 2 ]] || { echo "apt fails: not tried twice"; failed=1; }
refuse "apt fails" calls cmake

machine
bootstrap MISSING="libfmt-dev ninja-build" USER_ID=1000 build
exits "no right" 1
expect "no right" stderr "takes root or sudo"
expect "no right" stderr "apt-get update && apt-get install --no-install-recommends ninja-build libfmt-dev"
refuse "no right" calls apt-get

machine
stand_in sudo 'echo "sudo $*" >>'"$work"'/calls; [[ $1 == -n ]] && exit 0; "$@"'
bootstrap MISSING="libfmt-dev" USER_ID=1000 build
exits "with sudo" 0
expect "with sudo" calls "sudo env DEBIAN_FRONTEND=noninteractive apt-get install"

machine
stand_in sudo 'exit 1' # asks for a password, and there is no terminal
bootstrap MISSING="libfmt-dev" USER_ID=1000 build
exits "sudo with a password" 1
expect "sudo with a password" stderr "takes root or sudo"

machine
rm "$work/bin/dpkg-query" "$work/bin/apt-get"
bootstrap MISSING="" build
exits "not Debian" 1
expect "not Debian" stderr "not a Debian system"

machine
bootstrap MISSING="" bulid
exits "unknown command" 2
expect "unknown command" stderr 'unknown command "bulid"'

machine
bootstrap MISSING="" help
exits "help" 0
expect "help" stdout "usage: ./bootstrap COMMAND"

exit $failed
