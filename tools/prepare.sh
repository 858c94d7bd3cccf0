#!/usr/bin/env bash
# Sourced by demo.sh and test.sh: installs what is missing on Debian 12 and builds. Quick when nothing is missing.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

build_packages=(cmake ninja-build g++ pkg-config libpcl-dev liblzf-dev libeigen3-dev libtbb-dev libcli11-dev
                nlohmann-json3-dev libtomlplusplus-dev libcairo2-dev libstb-dev libpugixml-dev
                coinor-libcbc-dev libcsv-dev libsqlite3-dev libcereal-dev libxxhash-dev libdraco-dev
                libfast-float-dev)
test_packages=(catch2 libassimp-dev libopencv-dev clang-format clang-tidy python3 poppler-utils chromium)

# For the test of tools/cluster/ alone, which is skipped where these cannot be installed.
cluster_packages=(slurm-wlm munge)

# plan.html is bundled with npm. A Node.js from elsewhere than Debian brings its own and would clash with Debian's.
command -v npm >/dev/null || build_packages+=(nodejs npm)

# Installs those of the named packages that are not there yet.
install_missing() {
  local missing=()
  for package in "$@"; do
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null)" = installed ] || missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return
  echo "Installing ${missing[*]}" >&2
  local as_root=()
  [ "$(id -u)" -eq 0 ] || as_root=(sudo)
  "${as_root[@]}" apt-get update -qq
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# Builds the named targets (all without any); configures first, without the tests, where nothing is configured yet.
build() {
  [ -f .build/release/build.ninja ] || cmake --preset release --log-level=WARNING -DBUILD_TESTING=OFF >&2
  cmake --build --preset release -- "$@"
}
