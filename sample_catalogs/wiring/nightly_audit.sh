#!/bin/bash
# The night's audit for cron or a timer: nightly_audit.sh JOB [OPTION...]
# Its log goes to the system's, through a pipe that keeps the audit's exit code; the last line says what became of it.
set -uo pipefail
auditor audit --job "$@" --log json 2>&1 >/dev/null | ${LOGGER:-logger -t tire-listing-audit}
code=$?
case "$code" in
  0 | 1) exit 0 ;; # held listings are the usual outcome of a night: look into the report
  3) echo "A feed could not be read; the others were audited and written." ;;
  5) echo "A column that matters was not read, or a delivery is unlike those before; the report names it." ;;
  *) echo "The audit ended with $code; what was written before is as it was." ;;
esac
exit "$code"
