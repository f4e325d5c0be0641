#!/bin/sh
# One line of an import job: import_job.sh FEED FOLDER
# Lists what is to be imported: FOLDER/released, whatever was held, and although another feed (3) or a column (5) could
# not be read.  Ends with the audit's own exit code, so that whoever calls it knows.
set -u
auditor audit "$1" --out "$2" --quiet
code=$?
case "$code" in
  0 | 1 | 3 | 5) ls "$2/released" ;;
esac
exit "$code"
