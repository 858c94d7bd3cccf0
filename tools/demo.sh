#!/usr/bin/env bash
# From a fresh clone to a plan: installs what is missing, builds, and plans a sample log of the boardwalk.
source "$(dirname "$0")/prepare.sh"
install_missing "${build_packages[@]}"
build flitchwise >&2

.build/release/tools/flitchwise plan sample-scans/larch-photo.ply --board 50x150x3000 \
  --kit sample-scans/kit.toml --bark 14 --species larch --out out/demo
