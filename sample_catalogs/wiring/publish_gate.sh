#!/bin/sh
# A gate before publishing, for a commit hook or a CI step: publish_gate.sh FILE...
# Names what is wrong by file and line.  Ends with 1 when a listing must not go out, with 2 when a file is no listing.
exec auditor listing --check "$@"
