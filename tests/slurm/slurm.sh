#!/usr/bin/env bash
# slurm.sh PROGRAM: a sweep as an array of two tasks on a real Slurm that this script starts on this machine, one task
# killed and queued again, a dependent job that merges; the rows are those of a plain run. As root; Debian's packages
# slurm-wlm and munge. All daemons, keys and states are in a directory of its own, and end with it.
set -euo pipefail
program=$(realpath "$1")
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
[[ $(id -u) == 0 ]] || { echo "slurm.sh starts slurmd, which takes root" >&2; exit 2; }
for tool in munged slurmctld slurmd sbatch scontrol squeue; do
  command -v $tool >/dev/null || { echo "$tool is missing: apt-get install slurm-wlm munge" >&2; exit 2; }
done

work=$(mktemp -d /tmp/polepitch-slurm-XXXXXX)
daemons=()
finish() {
  local code=$?
  for pid in "${daemons[@]}"; do kill "$pid" 2>/dev/null || true; done
  wait 2>/dev/null || true
  [[ $code == 0 ]] && rm -rf "$work" || echo "logs are in $work" >&2
}
trap finish EXIT

export SLURM_CONF=$work/slurm.conf
host=$(hostname -s)
mkdir -p "$work/state" "$work/spool"
(umask 077 && head -c 1024 /dev/urandom >"$work/munge.key")
cat >"$SLURM_CONF" <<CONF
ClusterName=test
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmctldPort=16817
SlurmdPort=16818
AuthType=auth/munge
AuthInfo=socket=$work/munge.socket
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/slurmctld.log
SlurmdLogFile=$work/slurmd.log
ProctrackType=proctrack/pgid
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerParameters=batch_sched_delay=1,sched_interval=2
JobRequeue=1
KillWait=2
MpiDefault=none
ReturnToService=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=INFINITE State=UP
CONF
munged --foreground --force --key-file="$work/munge.key" --socket="$work/munge.socket" --pid-file="$work/munged.pid" \
  --seed-file="$work/munged.seed" --log-file="$work/munged.log" >"$work/munged.out" 2>&1 &
daemons+=($!)
for _ in $(seq 50); do [[ ! -S $work/munge.socket ]] || break; sleep 0.2; done
slurmctld -D -f "$SLURM_CONF" >"$work/slurmctld.out" 2>&1 &
daemons+=($!)
slurmd -D -f "$SLURM_CONF" -N "$host" >"$work/slurmd.out" 2>&1 &
daemons+=($!)
for _ in $(seq 100); do sinfo -h -o %t 2>/dev/null | grep -q idle && break; sleep 0.5; done
sinfo -h -o %t | grep -q idle || { echo "Slurm did not come up" >&2; exit 1; }
echo "$(sbatch --version) is up on $host"

cp "$here/../faults/base.toml" "$work/machine.toml"
cat >>"$work/machine.toml" <<'CASE'

[sweep]
quantities = ["mass_stator_core"]
[[sweep.parameter]]
path = "stator.slot.tooth_width"
from = "6 mm"
to = "7 mm"
count = 12
[[sweep.parameter]]
path = "machine.length"
values = ["100 mm", "200 mm"]
CASE
rows() {
  "$program" sweep "$work/machine.toml" -o "$1" --jobs 1 --json |
    python3 -c 'import json, sys
all = json.load(sys.stdin)
for p in all["points"]: print(json.dumps({k: p[k] for k in ("key", "exit_code", "reason", "quantities")}, sort_keys=True))'
}
rows "$work/plain" >"$work/plain.txt"

"$program" sweep "$work/machine.toml" -o "$work/array" --slurm 2 --jobs 1 --quiet
sh "$work/array/sweep.slurm.sh" >"$work/submitted"
sleep 1
array=$(squeue -h -r -o '%F %j' | awk '$2 == "polepitch-sweep" { print $1; exit }')
for _ in $(seq 300); do squeue -h -r -t R -o %i | grep -qx "${array}_1" && break; sleep 0.1; done
sleep 1.5  # some points in
scontrol requeue "${array}_1"
echo "task ${array}_1 was killed and queued again while it ran"
restarts=0
for _ in $(seq 600); do
  now=$(scontrol show job "${array}_1" 2>/dev/null | grep -o 'Restarts=[0-9]*' | cut -d= -f2 || true)
  [[ -z $now ]] || restarts=$now
  [[ -n $(squeue -h) ]] || break
  sleep 0.5
done
[[ -z $(squeue -h) ]] || { squeue; echo "jobs did not end" >&2; exit 1; }
[[ $restarts -ge 1 ]] || { echo "the task was not started again" >&2; exit 1; }
cat "$work"/array/*.log
[[ -e $work/array/sweep.csv ]] || { echo "the merging job left no sweep.csv" >&2; exit 1; }
rows "$work/array" >"$work/array.txt"
cmp "$work/plain.txt" "$work/array.txt"
echo "$(wc -l <"$work/array.txt") rows of the array are those of the plain run; task 1 was started $((restarts + 1)) times"
