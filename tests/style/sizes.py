#!/usr/bin/env python3
"""Checks that no source has grown too long to read. Usage: sizes.py TREE"""
import pathlib
import sys

MOST_LINES = 450  # functions are held to 60 by .clang-tidy


def main(tree):
    root = pathlib.Path(tree)
    faults = []
    for top in ("scan", "solver", "tools", "tests"):
        for path in sorted((root / top).rglob("*.[ch]pp")):
            lines = path.read_text().count("\n")
            if lines > MOST_LINES:
                faults.append(f"{path.relative_to(root)} has {lines} lines; split it (at most {MOST_LINES})")
    print("\n".join(faults) or f"no source is longer than {MOST_LINES} lines")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
