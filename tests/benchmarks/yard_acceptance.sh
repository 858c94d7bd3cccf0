#!/usr/bin/env bash
# A yard of 60 simulated scans comes out the same, to the byte, with one job, with two, broken off 20 times by kill -9
# at random moments, and as four shards merged; and what one and two jobs take. Prints a line a thing; ends with 1 if
# any differs.
#     yard_acceptance.sh FLITCHWISE [SCANS [FOLDER]]
set -euo pipefail
flitchwise=$1 scans=${2:-60} work=${3:-$(mktemp -d)}
mkdir -p "$work/yard"
for ((seed = 1; seed <= scans; ++seed)); do
  [ -f "$work/yard/log-$seed.ply" ] || "$flitchwise" simulate "$work/yard/log-$seed.ply" --seed $((7000 + seed)) \
    --length-mm $((1500 + seed % 5 * 250)) --small-end-mm $((220 + seed % 7 * 20)) \
    --large-end-mm $((240 + seed % 7 * 22)) --spacing-mm 15 --scanner photo
done
cat >"$work/order.csv" <<CSV
target,quantity,value,priority,due,on_hand
50x150x1400,60,9.5,1,2027-05-14,6
25x100x1200,90,2,2,2027-05-28,0
75x150x2000,20,18,1,2027-05-21,0
CSV
yard=("$work/yard" --order "$work/order.csv" --plans 3 --effort 40)
seconds() { date +%s.%N; }
run() { # FOLDER OPTIONS...
  local out=$1
  shift
  "${one_core[@]}" "$flitchwise" yard "${yard[@]}" --out "$work/$out" "$@" >"$work/$out.txt" 2>>"$work/$out-err.txt"
}
wrong=0
one_core=()
same() {
  for table in yard.csv coverage.csv loads.csv yard.html; do
    if ! cmp "$work/one/$table" "$work/$1/$table"; then wrong=1; fi
  done
  if ! diff -r "$work/one/plans" "$work/$1/plans" >/dev/null; then echo "plans of $1 differ"; wrong=1; fi
  [ $wrong -ne 0 ] || echo "same: $1"
}

rm -rf "$work"/{one,two,killed,part-*,merged}
start=$(seconds)
one_core=(taskset -c 0) # of several, parent and worker would share the work of one job
run one --jobs 1
one_core=()
middle=$(seconds)
run two --jobs 2
end=$(seconds)
same two
awk -v a="$start" -v b="$middle" -v c="$end" 'BEGIN {
  printf "one core %.1f s, two cores %.1f s: %.2f times as fast (wall time: only on an idle machine)\n", b-a, c-b, (b-a)/(c-b)}'
for out in one two; do
  awk -F, -v out=$out 'NR > 1 {cpu += $(NF - 1); if ($NF > most) most = $NF; ++n}
    END {printf "%s: %d scans, processor %.1f s, most memory of a worker %d MiB\n", out, n, cpu, most}' "$work/$out/effort.csv"
done

RANDOM=20
for ((kill = 1; kill <= 20; ++kill)); do
  "$flitchwise" yard "${yard[@]}" --out "$work/killed" --jobs 2 >/dev/null 2>>"$work/killed-err.txt" &
  pid=$!
  sleep "$(awk -v r=$RANDOM -v whole="$(awk -v b="$middle" -v c="$end" 'BEGIN {print c - b}')" \
    'BEGIN {print 0.1 + r / 32768 * whole / 14}')"
  kill -KILL $pid 2>/dev/null || true
  wait $pid 2>/dev/null || true
done
run killed --jobs 2
same killed
echo "killed 20 times: $(($(wc -l <"$work/killed/effort.csv") - 1)) plans finished for $scans scans"

merge=()
for part in 1 2 3 4; do
  run part-$part --jobs 2 --shard $part/4
  merge+=(--merge "$work/part-$part/yard.sqlite")
done
run merged "${merge[@]}"
same merged
if [ -f "$work/merged/effort.csv" ]; then echo "the merge planned again"; wrong=1; fi
exit $wrong
