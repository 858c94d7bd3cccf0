#!/usr/bin/env bash
# Checks the style: clang-format on every source, the length of files, clang-tidy on every source of the libraries and
# programs that changed since it last passed (the tests would double its time; they build without warnings).
# Usage: tools/style.sh BUILD_DIR
set -euo pipefail
build_dir=$(realpath "$1")
cd "$(dirname "$0")/.."
most_lines=600

mapfile -t sources < <(git ls-files --cached --others --exclude-standard '*.cpp' '*.hpp')
clang-format --dry-run --Werror "${sources[@]}"

for file in "${sources[@]}"; do
  lines=$(wc -l <"$file")
  if [ "$lines" -gt "$most_lines" ]; then
    echo "$file has $lines lines; split it (at most $most_lines)" >&2
    exit 1
  fi
done

python3 - "$build_dir" <<'PYTHON'
# A source passes once for a given content of itself, of all that it includes, and of .clang-tidy.
import hashlib, json, os, subprocess, sys
from concurrent.futures import ThreadPoolExecutor

build_dir = sys.argv[1]
root = os.getcwd()
stamps = os.path.join(build_dir, 'tidy')
os.makedirs(stamps, exist_ok=True)

def dependencies():
    """Object file -> the project's own files that it was built from, as ninja recorded them."""
    found, current = {}, None
    out = subprocess.run(['ninja', '-C', build_dir, '-t', 'deps'], capture_output=True, text=True, check=True).stdout
    for line in out.splitlines():
        if line and not line.startswith(' '):
            current = found.setdefault(line.split(':')[0], [])
        elif line.strip().startswith(root) and current is not None:
            current.append(line.strip())
    return found

def digest(paths):
    total = hashlib.sha256()
    for path in sorted(paths) + [os.path.join(root, '.clang-tidy')]:
        with open(path, 'rb') as file:
            total.update(path.encode() + file.read())
    return total.hexdigest()

def check(entry):
    source = os.path.normpath(os.path.join(entry['directory'], entry['file']))
    own = deps.get(entry.get('output'), []) or [source]
    stamp = os.path.join(stamps, hashlib.sha256(source.encode()).hexdigest())
    wanted = digest(set(own) | {source})
    if os.path.exists(stamp) and open(stamp).read() == wanted:
        return True
    run = subprocess.run(['clang-tidy', '--quiet', '--extra-arg=-Wno-unknown-warning-option', '-p', build_dir, source], capture_output=True, text=True)
    if run.returncode != 0:
        print(run.stdout, file=sys.stderr)
        return False
    with open(stamp, 'w') as file:
        file.write(wanted)
    return True

with open(os.path.join(build_dir, 'compile_commands.json')) as file:
    entries = [e for e in json.load(file)
               if not os.path.relpath(os.path.join(e['directory'], e['file']), root).startswith(('.', 'tests'))]
for entry in entries:
    if 'output' not in entry:
        words = entry['command'].split()
        entry['output'] = words[words.index('-o') + 1]
deps = dependencies()
with ThreadPoolExecutor(os.cpu_count()) as pool:
    passed = list(pool.map(check, entries))
print(f'clang-tidy: {sum(passed)} of {len(passed)} sources pass')
sys.exit(0 if all(passed) else 1)
PYTHON
