#!/bin/sh
# One line of an import job: import_job.sh JOB FOLDER
# Lists what is to be imported: FOLDER/released, whatever was held, and although another feed (3) could not be read, a
# column was not, or a delivery is unlike those before (5).  Ends with the audit's own exit code, so that whoever calls
# it knows.
set -u
auditor audit --job "$1" --out "$2" --quiet
code=$?
case "$code" in
  0 | 1 | 3 | 5) ls "$2/released" ;;
esac
exit "$code"
