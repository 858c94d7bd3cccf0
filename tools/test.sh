#!/usr/bin/env bash
# From a fresh clone to tested: installs what is missing, builds, checks the style, runs every test, and the tests of the
# shared types once more under the address and undefined behaviour sanitizers.
source "$(dirname "$0")/prepare.sh"
install_missing "${build_packages[@]}" "${test_packages[@]}"
install_missing "${cluster_packages[@]}" || echo "Slurm cannot be installed: its test will be skipped" >&2
cmake --preset release --log-level=WARNING -DBUILD_TESTING=ON >&2
build >&2
tools/style.sh .build/release >&2
ctest --preset release -j "$(nproc)" "$@"

sanitized=(test_model)
cmake --preset asan --log-level=WARNING -DBUILD_TESTING=ON >&2
cmake --build --preset asan --target "${sanitized[@]}" >&2
ctest --preset asan -j "$(nproc)" -R "^($(IFS='|'; echo "${sanitized[*]}")):" --no-tests=error "$@"
