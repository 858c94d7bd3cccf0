#!/usr/bin/env bash
# tools/cluster/yard_slurm.sh on a real Slurm of one node, started here for the purpose on the loopback device:
# the joined result is what one run on this machine writes, to the byte. Ends with 77 (skipped) where Slurm or
# munge is not installed.
#     slurm_test.sh FLITCHWISE YARD_SLURM_SH
set -euo pipefail
flitchwise=$1 script=$2
for program in sbatch slurmctld slurmd munged; do
  PATH=$PATH:/usr/sbin command -v $program >/dev/null || { echo "$program is not installed: skipped"; exit 77; }
done
export PATH=$PATH:/usr/sbin
work=$(mktemp -d "${TMPDIR:-/tmp}/flitchwise-slurm-XXXXXX")
pids=()
finish() {
  local code=$?
  for pid in "${pids[@]}"; do kill "$pid" 2>/dev/null || true; done
  wait 2>/dev/null || true
  [ $code -eq 0 ] || tail -n 15 "$work"/*.log "$work"/slurm/parts/*.txt 2>/dev/null || true
  rm -rf "$work"
  exit $code
}
trap finish EXIT

# Munge says who somebody is: a key, a socket and a daemon of our own.
mkdir -m 0755 "$work/munge"
dd if=/dev/urandom of="$work/munge/key" bs=1024 count=1 status=none
chmod 0400 "$work/munge/key"
munged --foreground --force --key-file="$work/munge/key" --socket="$work/munge/socket" --pid-file="$work/munge/pid" \
  --seed-file="$work/munge/seed" --log-file="$work/munged.log" >"$work/munged-out.log" 2>&1 &
pids+=($!)
free_port() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }
user=$(id -un) host=$(hostname -s)
mkdir "$work/state" "$work/spool"
cat >"$work/slurm.conf" <<CONF
ClusterName=flitchwise
SlurmctldHost=$host(127.0.0.1)
SlurmUser=$user
SlurmdUser=$user
SlurmctldPort=$(free_port)
SlurmdPort=$(free_port)
AuthType=auth/munge
AuthInfo=socket=$work/munge/socket
CredType=cred/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/slurmctld.log
SlurmdLogFile=$work/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
MpiDefault=none
SwitchType=switch/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerParameters=batch_sched_delay=0,sched_interval=1
ReturnToService=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=2 RealMemory=$(awk '/MemTotal/ {print int($2 / 2048)}' /proc/meminfo) State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$work/slurm.conf
waited=0
until [ -S "$work/munge/socket" ]; do
  sleep 0.1
  [ $((++waited)) -lt 100 ] || { echo "munged does not start"; exit 1; }
done
slurmctld -D -c >"$work/slurmctld-out.log" 2>&1 &
pids+=($!)
slurmd -D >"$work/slurmd-out.log" 2>&1 &
pids+=($!)
waited=0
until sinfo --noheader --format=%T 2>/dev/null | grep -q idle; do
  sleep 0.2
  [ $((++waited)) -lt 150 ] || { echo "no node of the local Slurm gets ready"; exit 1; }
done

# A yard of three short logs, one of them broken.
mkdir "$work/yard"
for seed in 1 2; do
  "$flitchwise" simulate "$work/yard/log-$seed.ply" --seed $seed --length-mm 1500 --small-end-mm 240 \
    --large-end-mm 260 --spacing-mm 14 --scanner photo
done
echo "ply broken" >"$work/yard/log-3.ply"
printf 'target,quantity,value\n50x150x1200,4,3\n25x100x1200,6,1\n' >"$work/order.csv"
yard=("$work/yard" --order "$work/order.csv" --plans 4 --effort 60)

"$flitchwise" yard "${yard[@]}" --out "$work/alone" >"$work/alone.log" 2>&1
last=$(MEMORY_A_PART=600M FLITCHWISE=$flitchwise "$script" 2 "${yard[@]}" --out "$work/slurm")
waited=0
while squeue --noheader --jobs="$last" 2>/dev/null | grep -q .; do
  sleep 0.2
  [ $((++waited)) -lt 600 ] || { echo "the jobs do not end"; exit 1; }
done
for part in 1 2; do
  [ -s "$work/slurm/parts/$part/yard.sqlite" ] || { echo "part $part has planned nothing"; exit 1; }
done
grep -q "logs planned" "$work/slurm/parts/job-$last.txt" && { echo "the last job planned a log again"; exit 1; }
for table in yard.csv coverage.csv loads.csv yard.html; do
  cmp "$work/alone/$table" "$work/slurm/$table"
done
echo "joined from two parts, equal to one run"
