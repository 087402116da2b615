#!/usr/bin/env bash
# Every source file is as clang-format writes it. Takes the folder to look at; the default is this repository.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
find geometry solver post cases tests \( -name '*.cpp' -o -name '*.h' \) -print0 |
  xargs -0 -r clang-format --dry-run --Werror --ferror-limit=1
