#!/usr/bin/env python3
"""Runs clang-tidy on the sources of the libraries and programs that changed since they last passed.

Usage: tidy.py TREE BUILD_DIR [--keep]

A source has passed for a given content of itself, of everything of this tree that it includes, and of .clang-tidy. What
passed stands in .tidied, so that a fresh clone checks only what is new; --keep writes it anew. A source that has passed
once must pass again; one that never has is told of, but does not fail the check. The tests are left out: they would
double the time, and they build without warnings.
"""
import concurrent.futures
import hashlib
import json
import os
import re
import subprocess
import sys


class Tree:
    def __init__(self, root, build_dir):
        self.root, self.build_dir = os.path.realpath(root), os.path.realpath(build_dir)
        self.record = os.path.join(self.root, ".tidied")
        self.includes = self.read_includes()

    def own(self, path):
        """The path from the top of the tree; None for what is not of this tree or was made by the build."""
        path = os.path.relpath(os.path.join(self.build_dir, path), self.root)
        return None if path.startswith("..") or path.startswith(".build") else path

    def read_includes(self):
        """Object file -> the tree's own files that it was built from, as ninja recorded them."""
        out = subprocess.run(["ninja", "-C", self.build_dir, "-t", "deps"], capture_output=True, text=True, check=True)
        found, current = {}, []
        for line in out.stdout.splitlines():
            if line and not line.startswith(" "):
                current = found.setdefault(line.split(":")[0], [])
            elif line.strip() and self.own(line.strip()):
                current.append(self.own(line.strip()))
        return found

    def sources(self):
        """(source, object file) of every source that is checked."""
        with open(os.path.join(self.build_dir, "compile_commands.json")) as file:
            for entry in json.load(file):
                source = self.own(os.path.join(entry["directory"], entry["file"]))
                if source and not source.startswith("tests"):
                    words = entry["command"].split()
                    yield source, entry.get("output") or words[words.index("-o") + 1]

    def digest(self, source, output):
        total = hashlib.sha256()
        for path in sorted({source, ".clang-tidy", *self.includes.get(output, [])}):
            with open(os.path.join(self.root, path), "rb") as file:
                total.update(path.encode() + b"\0" + file.read())
        return total.hexdigest()[:32]

    def passed(self):
        if not os.path.exists(self.record):
            return {}
        with open(self.record) as file:
            return dict(line.split() for line in file if line.strip())

    def keep(self, digests):
        with open(self.record, "w") as file:
            file.writelines(f"{source} {digests[source]}\n" for source in sorted(digests))


def without_precompiled(build_dir):
    """A folder with the compile commands as clang can follow them: it does not read g++'s precompiled headers."""
    folder = os.path.join(build_dir, "tidy")
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(build_dir, "compile_commands.json")) as file:
        commands = re.sub(r"-Winvalid-pch -include \S+cmake_pch\.hxx", "", file.read())
    with open(os.path.join(folder, "compile_commands.json"), "w") as file:
        file.write(commands)
    return folder


def complaint(tree, commands, source):
    """What clang-tidy says of the source; empty if it passes."""
    run = subprocess.run(["clang-tidy", "--quiet", "--extra-arg=-Wno-unknown-warning-option", "-p", commands,
                          os.path.join(tree.root, source)], capture_output=True, text=True)
    return run.stdout + run.stderr if run.returncode else ""


def main(root, build_dir, keep):
    tree = Tree(root, build_dir)
    digests = {source: tree.digest(source, output) for source, output in tree.sources()}
    passed = tree.passed()
    ahead = [source for source, digest in digests.items() if passed.get(source) != digest]
    commands = without_precompiled(tree.build_dir)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        said = dict(zip(ahead, pool.map(lambda source: complaint(tree, commands, source), ahead)))
    for text in filter(None, said.values()):
        print(text, file=sys.stderr)
    failed = [source for source in ahead if said[source]]
    fallen = [source for source in failed if source in passed]
    if keep:
        tree.keep({source: digest for source, digest in digests.items() if source not in failed})
    print(f"clang-tidy: {len(ahead) - len(failed)} of {len(ahead)} new sources pass; "
          f"{len(digests) - len(ahead)} had passed as they are")
    if failed:
        print(f"{len(fallen)} of the {len(failed)} others had passed before: {' '.join(fallen) or 'none'}")
    return 1 if fallen else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], "--keep" in sys.argv[3:]))
