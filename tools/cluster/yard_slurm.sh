#!/usr/bin/env bash
# Plans a yard on a Slurm cluster: an array of jobs, each with a part of the logs, and one that joins them.
#
#     tools/cluster/yard_slurm.sh PARTS DIR --out OUT --order order.csv [options of flitchwise yard]
# (but for --jobs, --memory, --shard and --merge, which are set here)
#
# Prints the number of the last job; when that one has ended, OUT holds what a run on one machine would have
# written, to the byte. A part that failed is planned by the last job. Run the same again after scans or order
# have changed: what is known is kept in OUT. DIR, OUT and the program must be at the same place on all nodes.
#   FLITCHWISE      the program (default: flitchwise in the PATH)
#   SBATCH_...      what Slurm itself understands: SBATCH_PARTITION, SBATCH_ACCOUNT, SBATCH_TIMELIMIT, ...
#   CPUS_A_PART     processors for each job (default 1)
#   MEMORY_A_PART   memory for each job, as Slurm writes it (default 2G a processor)
set -euo pipefail

# The folder that follows --out among the arguments.
out_of() {
  while [ $# -gt 1 ]; do
    [ "$1" != --out ] || { printf '%s' "$2"; return; }
    shift
  done
}

# What a worker may have of the memory that Slurm gives the job; Slurm counts in MiB.
memory() {
  local given=${SLURM_MEM_PER_CPU:-}
  [ -n "$given" ] || given=$((${SLURM_MEM_PER_NODE:-0} / ${SLURM_CPUS_PER_TASK:-1}))
  [ "$given" -eq 0 ] || echo "--memory $((given * 8 / 10))"
}

case "${1:-}" in
  --part) # within the array: PROGRAM PARTS OUT and the yard's arguments; a later --out counts
    program=$2 parts=$3 out=$4
    shift 4
    # shellcheck disable=SC2046 # two words
    exec "$program" yard "$@" --jobs "${SLURM_CPUS_PER_TASK:-1}" $(memory) --shard "$SLURM_ARRAY_TASK_ID/$parts" \
      --out "$out/parts/$SLURM_ARRAY_TASK_ID"
    ;;
  --join) # afterwards
    program=$2 parts=$3 out=$4
    shift 4
    stores=()
    for ((part = 1; part <= parts; ++part)); do
      [ ! -f "$out/parts/$part/yard.sqlite" ] || stores+=(--merge "$out/parts/$part/yard.sqlite")
    done
    # shellcheck disable=SC2046
    exec "$program" yard "$@" --jobs "${SLURM_CPUS_PER_TASK:-1}" $(memory) --out "$out" "${stores[@]}"
    ;;
esac

program=$(command -v "${FLITCHWISE:-flitchwise}") || {
  echo "yard_slurm.sh: there is no program '${FLITCHWISE:-flitchwise}': name it with FLITCHWISE=/path/to/flitchwise" >&2
  exit 1
}
parts=${1:-}
out=$(out_of "$@")
if ! [[ $parts =~ ^[1-9][0-9]*$ ]] || [ -z "$out" ]; then
  echo "usage: yard_slurm.sh PARTS DIR --out OUT --order order.csv [options of flitchwise yard]" >&2
  exit 1
fi
shift
yard=()
while [ $# -gt 0 ]; do # without --out, which each job has its own
  if [ "$1" = --out ]; then shift 2; else yard+=("$1"); shift; fi
done
mkdir -p "$out/parts"
common=(--parsable --ntasks=1 --cpus-per-task="${CPUS_A_PART:-1}" --output="$out/parts/job-%A-%a.txt")
if [ -n "${MEMORY_A_PART:-}" ]; then common+=(--mem="$MEMORY_A_PART"); else common+=(--mem-per-cpu=2G); fi
array=$(sbatch "${common[@]}" --job-name=yard-parts --array="1-$parts" "$0" --part "$program" "$parts" "$out" "${yard[@]}")
sbatch "${common[@]}" --job-name=yard-join --dependency="afterany:$array" --output="$out/parts/job-%j.txt" \
  "$0" --join "$program" "$parts" "$out" "${yard[@]}"
