#!/bin/sh
# Installs what the test on a batch engine needs, Debian's Slurm, without starting its services.
set -eu
cd "$(dirname "$0")/../.."

if ! command -v slurmctld >/dev/null && [ "$(id -u)" -eq 0 ] && ! [ -e /usr/sbin/policy-rc.d ]; then
  printf '#!/bin/sh\nexit 101\n' >/usr/sbin/policy-rc.d
  chmod +x /usr/sbin/policy-rc.d
  trap 'rm -f /usr/sbin/policy-rc.d' EXIT
fi
sh tests/install.sh slurmctld slurmd slurm-client munge
