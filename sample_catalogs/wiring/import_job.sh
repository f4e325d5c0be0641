#!/bin/sh
# One line of an import job: import_job.sh FEED FOLDER
# Imports FOLDER/released when the feed could be read, whatever was held.
set -u
python3 -c 'import sys, auditor; sys.exit(auditor.audit(sys.argv[1], sys.argv[2]).exit_code)' "$1" "$2"
code=$?
[ "$code" -le 1 ] && ls "$2/released"
exit "$code"
