#!/bin/bash
# Runs the recipe for Slurm for real, with Debian's packages (slurm-wlm, munge), on this machine alone, and compares what
# comes out with a run that was not shared out. It needs root, and is not part of the tests. It listens on this machine
# only for as long as it runs, keeps everything in a folder of its own, and ends only what it started.
#
# usage: run.sh [FOLDER of programs]
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../../.." && pwd)
shop=$(cd "${1:-$root/testdata/demo}" && pwd)
for tool in munged slurmctld slurmd sbatch squeue; do
	command -v "$tool" >/dev/null || { echo "$tool is missing: apt-get install slurm-wlm munge"; exit 2; }
done
[ "$(id -u)" = 0 ] || { echo "run this as root: the daemons need it"; exit 2; }

work=$(mktemp -d)
chmod 755 "$work"
started=()
finish() {
	for pid in "${started[@]}"; do kill "$pid" 2>/dev/null || true; done
	for pid in "${started[@]}"; do wait "$pid" 2>/dev/null || true; done
	rm -rf "$work"
}
trap finish EXIT

mkdir -p "$work"/{bin,munge,state,spool,log}
chmod 700 "$work/munge"
(cd "$root" && go build -o "$work/bin/staydown" ./cmd/staydown)
PATH=$work/bin:$PATH

dd if=/dev/urandom of="$work/munge/key" bs=1024 count=1 status=none
chmod 400 "$work/munge/key"
mkdir "$work/socket" && chmod 755 "$work/socket"
munged --foreground --force --key-file="$work/munge/key" --socket="$work/socket/munge" --pid-file="$work/munge/pid" \
	--seed-file="$work/munge/seed" --log-file="$work/munge/log" >"$work/log/munged" 2>&1 &
started+=($!)

host=$(hostname -s)
cat >"$work/slurm.conf" <<CONF
ClusterName=alone
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=36817
SlurmdPort=36818
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$work/socket/munge
CredType=cred/munge
MpiDefault=none
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/log/slurmctld
SlurmdLogFile=$work/log/slurmd
SchedulerParameters=sched_interval=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=main Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$work/slurm.conf
for _ in $(seq 50); do [ -S "$work/socket/munge" ] && break; sleep 0.2; done
slurmctld -D >"$work/log/slurmctld.out" 2>&1 &
started+=($!)
slurmd -D >"$work/log/slurmd.out" 2>&1 &
started+=($!)
for _ in $(seq 100); do
	[ "$(sinfo -h -o %t 2>/dev/null || true)" = idle ] && break
	sleep 0.3
done
[ "$(sinfo -h -o %t)" = idle ] || { echo "the node did not come up"; tail -n 20 "$work"/log/*; exit 1; }

cd "$(dirname "$shop")"
name=$(basename "$shop")
# Arrays from 0, from 1, and in steps: the parts must come out alike.
for array in 0-2 1-3 4-12:4; do
	mkdir -p "$work/parts"
	echo "array $array"
	sbatch --wait --array="$array" --output="$work/log/task-%a" "$here/task.sh" "$name" "$work/parts" || true # 3: a program could not be analysed
	cat "$work"/log/task-* | grep -h "part . of" | sort
	rm -f "$work"/log/task-*
	[ "$(ls "$work/parts" | wc -l)" = 3 ] || { echo "not three parts: $(ls "$work/parts")"; exit 1; }
	joined=0
	staydown join "$work"/parts/* -o "$work/joined" >"$work/joined.txt" 2>"$work/joined.err" || joined=$?
	alone=0
	staydown check "$name" -o "$work/alone" --shard 1/1 >"$work/alone.txt" 2>/dev/null || alone=$?
	[ "$joined" = "$alone" ] || { echo "status $joined, alone $alone"; cat "$work/joined.err"; exit 1; }
	cmp "$work/joined.txt" "$work/alone.txt"
	diff -r "$work/joined" "$work/alone"
	rm -rf "$work/parts" "$work/joined"
done
# An array with gaps does not tell a task its place: it must be refused, not guessed.
mkdir -p "$work/parts"
echo "array 1,3,7"
sbatch --wait --array=1,3,7 --output="$work/log/task-%a" "$here/task.sh" "$name" "$work/parts" || true # 2: refused
[ "$(cat "$work"/log/task-* | grep -c "numbers have gaps")" = 3 ] || { echo "gaps were not seen"; cat "$work"/log/task-*; exit 1; }
echo "the parts of every array joined are the run that was not shared out"
