#!/usr/bin/env bash
# Checks the style: clang-format on every source, the length of files, which room includes which, and clang-tidy on what
# changed since it last passed (.tidied). With --keep, what passes now is written there: run it before a commit.
# Usage: tools/style.sh BUILD_DIR [--keep]
set -euo pipefail
build_dir=$(realpath "$1")
cd "$(dirname "$0")/.."

git ls-files --cached --others --exclude-standard '*.cpp' '*.hpp' | xargs clang-format --dry-run --Werror
for check in sizes layers; do
  python3 "tests/style/$check.py" .
done
python3 tests/style/tidy.py . "$build_dir" "${@:2}"
