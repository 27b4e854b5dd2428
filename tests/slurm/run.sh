#!/bin/sh
# A study in shares on a real Slurm of one node, which this starts as root and stops again: one share
# is killed on its way, the script's second round finishes it, and the merge is byte for byte what a
# run without shares gives.
#   run.sh TILTFIN DIRECTORY; code 77 where there is no Slurm or no root, unless TILTFIN_NEEDS_SLURM
set -eu
tiltfin=$1
place=$2

skip() {
  [ -z "${TILTFIN_NEEDS_SLURM:-}" ] || { echo "$1, and TILTFIN_NEEDS_SLURM is set" >&2; exit 1; }
  echo "skipped: $1"
  exit 77
}
[ "$(id -u)" -eq 0 ] || skip "not root"
for program in slurmctld slurmd sbatch munged; do
  command -v "$program" >/dev/null || skip "no $program here (tests/slurm/install.sh)"
done

rm -rf "$place"
mkdir -p "$place"
place=$(cd "$place" && pwd)
here=$(mktemp -d) # sockets have short paths
chmod 755 "$here"
host=$(hostname -s)

# wait_for SECONDS COMMAND...: until it succeeds.
wait_for() {
  left=$(($1 * 5))
  shift
  until "$@" >/dev/null 2>&1; do
    left=$((left - 1))
    [ "$left" -gt 0 ] || return 1
    sleep 0.2
  done
}

stop() {
  for name in slurmd slurmctld munged; do
    [ -s "$here/$name.pid" ] || continue
    pid=$(cat "$here/$name.pid")
    kill "$pid" 2>/dev/null || true
    wait_for 20 sh -c "! kill -0 $pid" || true
  done
  cp "$here"/*.log "$place" 2>/dev/null || true
  rm -rf "$here"
}
trap stop EXIT

fail() {
  echo "$1" >&2
  for log in "$here"/*.log; do
    tail -n 5 "$log" >&2
  done
  exit 1
}

export SLURM_CONF="$here/slurm.conf"
mkdir "$here/state" "$here/spool"
cat >"$SLURM_CONF" <<END
ClusterName=tiltfin
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=26817
SlurmdPort=26818
AuthType=auth/munge
AuthInfo=socket=$here/munge
CredType=cred/munge
SlurmUser=root
SlurmdUser=root
StateSaveLocation=$here/state
SlurmdSpoolDir=$here/spool
SlurmctldPidFile=$here/slurmctld.pid
SlurmdPidFile=$here/slurmd.pid
SlurmctldLogFile=$here/slurmctld.log
SlurmdLogFile=$here/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core_Memory
SchedulerParameters=sched_interval=1
MailProg=/bin/true
ReturnToService=2
KillWait=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) RealMemory=$(awk '/MemTotal/ { print int($2 / 1024) }' /proc/meminfo) State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=INFINITE State=UP
END
head -c 1024 /dev/urandom >"$here/munge.key"
chmod 400 "$here/munge.key"
munged --force --key-file="$here/munge.key" --socket="$here/munge" --pid-file="$here/munged.pid" \
  --log-file="$here/munged.log" --seed-file="$here/munge.seed"
slurmctld
slurmd
wait_for 30 sh -c 'sinfo -h -o %T | grep -qx idle' || fail "Slurm did not come up"

cd "$place"
"$tiltfin" new block -o block.toml >/dev/null
cat >study.toml <<'END'
title = "A study in shares"
case = "block.toml"
[vary]
block.fin_gap_mm = [3, 4]
block.fins = [10, 12]
conditions.orientations = [["upright"], ["flat-up"]]
conditions.powers_w = [[6]]
END
quick="--skip-stability --listed-powers-only"
"$tiltfin" study study.toml -o whole $quick >whole.txt 2>&1 || fail "the study without shares: $(tail -n 3 whole.txt)"

"$tiltfin" study study.toml -o shared $quick --slurm submit.sh --shares 2 >/dev/null
submitted=$(sh submit.sh)
array=$(squeue -h -r -o '%F %j' | sort -n | sed -n 's/ tiltfin-study$//p' | head -n 1)
[ -n "$array" ] || fail "nothing was submitted: $submitted"

# Killed once it has written something and is not done.
first=shared/log/${array}_1.txt
wait_for 60 grep -q "variant .* done" "$first" || fail "the first share does not begin"
scancel --signal=KILL --full "${array}_1"
wait_for 30 sh -c "! squeue -h -r -j ${array}_1 2>/dev/null | grep -q ." || fail "the first share is not killed"
! grep -q "is done" "$first" || fail "the first share was done before it was killed"

wait_for 120 sh -c '! squeue -h | grep -q .' || fail "jobs do not end: $(squeue -h)"
grep -q "variants solved" shared/log/merge.txt || fail "no merge: $(cat shared/log/merge.txt)"
grep -l "kept" shared/log/*_1.txt >/dev/null || fail "the second round began anew"
for file in $(cd whole && find . -type f | sort); do
  cmp "whole/$file" "shared/$file" || fail "$file is not what a run without shares gives"
done
echo "$(ls whole/variants/000 | wc -l) variants in 2 shares, one killed: as in one run"
