#!/usr/bin/env bash
# Makes the scans of sample-scans/ anew: invented logs of the boardwalk, each with its truth beside it in out/samples.
source "$(dirname "$0")/prepare.sh"
install_missing "${build_packages[@]}"
build flitchwise >&2
simulate() { .build/release/tools/flitchwise simulate "sample-scans/$1.ply" --truth "out/samples/$1.json" "${@:2}"; }
mkdir -p out/samples

# A wind-thrown larch on two bearers, bowed, with a butt flare, from photographs.
simulate larch-photo --seed 31 --scanner photo --spacing-mm 8 --ground-spacing-mm 22 --length-mm 3640 \
  --small-end-mm 395 --large-end-mm 436 --sweep-mm 42 --flare-mm 50 --knots 6 --stubs 1 --bark-mm 14 --grass-mm 60 \
  --neighbours 0

# A straighter spruce beside another log, from a phone's depth sensor: coarse, boxy, a little bent.
simulate spruce-depth --seed 32 --scanner depth --length-mm 3320 --small-end-mm 300 --large-end-mm 335 --sweep-mm 15 \
  --flare-mm 20 --knots 5 --stubs 0 --bark-mm 8 --grass-mm 40 --neighbours 1

# A small larch in the axes of a phone's own frame: y is up.
simulate larch-y-up --seed 33 --scanner photo --spacing-mm 9 --ground-spacing-mm 25 --length-mm 2700 --small-end-mm 255 \
  --large-end-mm 281 --sweep-mm 20 --flare-mm 20 --knots 4 --stubs 0 --bark-mm 11 --grass-mm 40 --neighbours 0 --y-up
