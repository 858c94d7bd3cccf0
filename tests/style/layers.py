#!/usr/bin/env python3
"""Checks that every include points the right way and every library stays in its room. Usage: layers.py TREE"""
import pathlib
import re
import sys

# A room may include itself, what stands behind it, and what those may include. Deeper folders belong to the longest
# name that fits; files straight in scan/ are a room of their own.
ROOMS = {
    "scan/model": [],
    "scan/read": ["scan/model"],
    "scan/depth": ["scan/read"],
    "scan": ["scan/depth"],
    "scan/pcl": ["scan/model"],
    "scan/find": ["scan/read", "scan/pcl"],
    "scan/fit": ["scan/find"],
    "scan/merge": ["scan/find"],
    "solver/plan": ["scan/model"],
    "solver/search": ["solver/plan"],
    "solver/setup": ["solver/search"],
    "solver/advice": ["solver/setup"],
    "solver/allocate": ["solver/search"],
    "tools/job": ["scan", "scan/fit", "scan/merge", "solver/advice"],
    "tools/page": [],
    "tools/report": ["tools/job", "tools/page"],
    "tools/yard": ["tools/report", "solver/allocate"],
    "tools/simulate": ["scan/model"],
    "tools/app": ["tools/yard", "tools/simulate"],
}

# Where a library's headers may be included.
LIBRARIES = {
    r"pcl/": ["scan/pcl"],
    r"(coin/)?(Cbc|Osi|Clp|Coin)": ["solver/allocate"],
    r"cairo": ["tools/report/paint"],
    r"CLI/": ["tools/app"],
    r"sqlite3|cereal/|xxhash": ["tools/yard"],
    r"toml": ["solver/setup"],
    r"nlohmann/": ["scan/read", "scan/depth", "tools/report", "tools/yard", "tools/simulate"],
    r"tbb/|oneapi/": ["solver/search", "solver/allocate", "tools/yard"],
    r"stb/|liblzf/|pugixml|tiny_|draco/": ["scan/read", "scan/depth"],
    r"csv\.h": ["scan/model"],
}
INCLUDE = re.compile(r'^\s*#\s*include\s+(["<])([^">]+)[">]')


def reachable(room):
    found, ahead = set(), [room]
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += ROOMS[one]
    return found


def room_of(path):
    return max((room for room in ROOMS if path.startswith(room + "/")), key=len, default=None)


def faults_of(path, text):
    here = room_of(path)
    if here is None:
        yield f"{path}: is in no room; rooms are listed in tests/style/layers.py"
        return
    allowed = reachable(here)
    for number, line in enumerate(text.splitlines(), 1):
        include = INCLUDE.match(line)
        if not include:
            continue
        kind, name = include.groups()
        if kind == '"' and room_of(name) not in allowed:
            yield f"{path}:{number}: {here} must not include {name}"
        for library, rooms in LIBRARIES.items():
            if kind == "<" and re.match(library, name) and not any(path.startswith(room + "/") for room in rooms):
                yield f"{path}:{number}: <{name}> belongs into {' or '.join(rooms)}"


def main(tree):
    root = pathlib.Path(tree)
    sources = [p for top in ("scan", "solver", "tools") for p in sorted((root / top).rglob("*.[ch]pp"))]
    faults = [fault for p in sources for fault in faults_of(p.relative_to(root).as_posix(), p.read_text())]
    for path in sources:
        lone = path.suffix == ".cpp" and not path.with_suffix(".hpp").exists()
        if lone and "int main(" not in path.read_text() and path.parent.name != "page":
            faults.append(f"{path.relative_to(root)}: has no header of its own beside it")
    print("\n".join(faults) or f"{len(sources)} sources include the right way")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
